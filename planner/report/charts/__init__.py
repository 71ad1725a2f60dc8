"""The pictures: plain values in, SVG with a text alternative out."""

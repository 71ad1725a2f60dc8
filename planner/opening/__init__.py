"""The statistical model of how far a reed stands open."""

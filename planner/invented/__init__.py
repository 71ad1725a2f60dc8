"""Parts of the invented sample: a workshop that never was, with a truth that is known."""

"""Cane: its moisture, its arc, its gouge."""

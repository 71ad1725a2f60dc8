"""Cane: its moisture, and how it follows the room."""

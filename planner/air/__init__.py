"""Humid air, always over liquid water: the language the other parts share."""

"""Drift of the gouger and runs of openings."""

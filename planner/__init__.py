"""Seasonal humidity planner for oboe cane."""

__version__ = "0.1.0"

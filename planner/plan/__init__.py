"""Recommendation, spells, preparation and review."""

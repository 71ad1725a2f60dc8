"""Outdoor weather: places, services, files, past years and the outlook."""

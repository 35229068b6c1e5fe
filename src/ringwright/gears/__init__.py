"""Cylindrical gears: systems, geometry, measures."""

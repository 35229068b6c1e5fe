"""Dividing a circle with the devices on the shelf, in exact arithmetic."""

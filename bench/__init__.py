"""Seconds, measured beside the plain way of doing the same."""

"""Ringwright: from a chewed-up toothed ring to a signed-off repair, on the machines the shop already owns."""

__version__ = "0.1.0"

"""Hours and price with their spread."""

"""Does it fit, will it stand."""

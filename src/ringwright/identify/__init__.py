"""From readings of a worn ring to ranked rings, and the reading to take next."""

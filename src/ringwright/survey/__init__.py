"""The tooth map: where the damage sits, and turning the ring on its seat."""

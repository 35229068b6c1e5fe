"""What a cutter takes away, and at what speed."""

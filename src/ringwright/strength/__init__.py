"""How much a tooth still carries, always as a range."""

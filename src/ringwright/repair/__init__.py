"""The ways to save a ring, judged side by side."""

"""Papers: set-up sheet, division table, tooth sheet, hand-over report."""

"""Where jobs, round sheets and events are kept: SQLite by default, PostgreSQL by one setting."""

"""The job: its document, round sheets, events, and state as a fold over the events."""

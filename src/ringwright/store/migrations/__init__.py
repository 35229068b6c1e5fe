"""The schema's history; run by ``ringwright.store.opening`` when it is needed."""

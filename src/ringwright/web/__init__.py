"""The app in the browser and the HTTP face of the operations."""

"""Changes put into the file a score came from, and nothing else in it touched."""

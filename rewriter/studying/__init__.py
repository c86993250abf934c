"""A tune studied before anybody scores it, and scores read back into plans."""

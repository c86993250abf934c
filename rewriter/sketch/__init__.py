"""The short score: which staff is the tune, and what each of its voices says."""

"""Which section plays what, in which octave."""

"""The music itself: pitches, keys, intervals, metres. No XML, no files."""

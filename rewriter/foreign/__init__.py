"""Sketches that are no MusicXML: made MusicXML by music21, where it is installed."""

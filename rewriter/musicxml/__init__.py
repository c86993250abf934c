"""MusicXML in and out: opening, reading, writing, saving."""

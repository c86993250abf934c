"""The one reader of any score: its bars and their places, what happens in them, and when."""

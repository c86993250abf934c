"""Turns a short score into playable string parts, by layout rule files."""

__version__ = "0.1.0"

"""Passages of a finished score laid out anew."""

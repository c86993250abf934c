"""A finished score heard: which part is which section, who doubles whom, where the tune is."""

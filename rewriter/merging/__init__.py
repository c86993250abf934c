"""Hand corrections carried into a score that is made anew: what was edited, and where to."""

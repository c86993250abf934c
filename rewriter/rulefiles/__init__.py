"""Rule files: ensembles, layouts, plans, and the one-line stack notation."""

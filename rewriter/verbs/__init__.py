"""The public verbs: each is a recipe that names the rooms in order."""

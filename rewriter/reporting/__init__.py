"""What is said about a finished job: one result, several writers over it."""

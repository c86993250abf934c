"""The command line: options in, verb, report out."""

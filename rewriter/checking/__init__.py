"""What a score must satisfy, and where it does not: rules, and the findings they make."""

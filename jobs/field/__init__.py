"""What was done on the day of an issued sheet."""

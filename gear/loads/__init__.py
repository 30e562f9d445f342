"""What each item carried."""

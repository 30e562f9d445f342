"""What a worked plan says, once for screens and papers."""

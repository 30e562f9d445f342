"""What a checked sheet says, once for screens and papers."""

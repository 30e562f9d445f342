"""Pull plans: from their rows to the mechanics and back to what people read."""

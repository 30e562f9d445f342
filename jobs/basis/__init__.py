"""What the figures rest on: defaults with their basis, and sources."""

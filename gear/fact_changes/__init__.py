"""Changes of what is on record about an item, each an event of its own."""

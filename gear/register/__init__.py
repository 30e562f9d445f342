"""The store: registering items, finding them, their pages."""

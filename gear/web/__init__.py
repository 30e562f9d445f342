"""What the store's views and forms share."""

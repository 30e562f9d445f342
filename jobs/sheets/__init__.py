"""Job sheets: what refuses one, issuing it, and what becomes of it."""

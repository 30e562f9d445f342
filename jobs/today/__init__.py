"""The page one starts the day on, and the digest by mail."""

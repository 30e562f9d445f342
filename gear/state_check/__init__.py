"""Whether the store's columns say what the records say, worked out again from the chain."""

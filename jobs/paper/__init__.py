"""From a checked sheet to what its paper says: plain content in the reader's words and units."""

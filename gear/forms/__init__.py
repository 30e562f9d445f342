"""Forms of the store: they check shape, services check rules."""

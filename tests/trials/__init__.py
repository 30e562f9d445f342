"""Trials that are run by hand with large numbers, and by the suite with small ones."""

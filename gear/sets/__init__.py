"""Tackle sets and their parts."""

"""Mechanics: hand-checked cases, no database."""

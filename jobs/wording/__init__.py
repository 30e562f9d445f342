"""Figures and findings as values, and how they are put in words and in the reader's units."""

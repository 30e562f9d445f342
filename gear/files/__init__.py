"""Photographs and documents of items."""

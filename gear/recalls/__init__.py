"""Makers' recalls: what they catch, and settling them."""

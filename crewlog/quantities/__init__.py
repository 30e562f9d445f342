"""Quantities: units, kinds, the strict reader, display, and the columns and boxes made of them."""

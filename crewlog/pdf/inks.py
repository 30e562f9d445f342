"""Inks of everything on paper; told apart in black and white."""

INK = "#000000"
INK_SOFT = "#333333"
ROPE_INK = "#123f75"  # prints as a dark grey: rope stays rope in black and white
PAPER = "#ffffff"

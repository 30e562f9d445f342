"""Rounds: many items inspected in a row, drafts that change and one signature as evidence."""

"""Mails about what happened to a sheet, to those whom it concerns."""

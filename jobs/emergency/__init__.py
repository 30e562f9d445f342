"""Looked at again when a sheet is issued: where help is, how it is called, who gets a climber down, the stop signal."""

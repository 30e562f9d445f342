"""Signing in: from where, how often it may be tried, the second step, and the devices that are signed in."""

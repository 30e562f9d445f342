"""Trials that take minutes, run by hand; each has a short run among the tests."""

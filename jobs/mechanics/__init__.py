"""Mechanics of pulling a standing stem over: an estimate for a competent person to judge, never a permission."""

MECHANICS_VERSION = "1.0"

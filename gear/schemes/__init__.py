"""Inspection intervals and limits of use that a company sets."""

"""Stems as measured."""

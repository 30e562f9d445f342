"""Drawings of a pull plan: scenes of shapes with roles, written as SVG or as PDF vectors."""

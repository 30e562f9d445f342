"""Photographs and documents that people bring: read, cleaned, and kept under the hash of their content."""

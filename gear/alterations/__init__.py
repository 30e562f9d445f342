"""Alterations of ropes, each of which makes an examination pending."""

"""Examinations: what is asked, what was found, who may examine."""

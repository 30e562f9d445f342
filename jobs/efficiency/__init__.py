"""The measured efficiency of a tackle."""

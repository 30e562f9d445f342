"""The job sheet as a PDF, from plain data."""

"""Reports of thorough examination and blank checklists: plain data from rows, paper from plain data."""

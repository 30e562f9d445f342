"""What the pages of jobs show, as frozen rows: no queries in templates, no arithmetic either."""

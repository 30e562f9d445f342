"""What became of an issued sheet: in force, withdrawn, superseded, closed, past its day; and what its PDF then says."""

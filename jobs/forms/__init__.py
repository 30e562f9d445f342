"""Forms of jobs, stems, plans and sheets: they check shape, the services check rules."""

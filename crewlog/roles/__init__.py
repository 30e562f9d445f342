"""Two roles on PostgreSQL: the owner migrates; the application can add evidence and never change it or its guards."""

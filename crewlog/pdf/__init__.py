"""Making a PDF: fonts, styles, marks, tables, blocks and pages, from plain data. Knows neither gear nor jobs."""

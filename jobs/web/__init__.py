"""What the views, forms and pages of jobs share."""

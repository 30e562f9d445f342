"""Days to be reminded of, and the calendar of them."""

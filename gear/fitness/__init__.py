"""Whether an item is fit and why not, on which day that turns, and who depends on it."""

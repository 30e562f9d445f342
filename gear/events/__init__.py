"""What happens to gear: events, taking out of use, and the end of an item."""

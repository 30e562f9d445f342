"""What a calculation can find: the list of codes by subject, and the findings of one plan collected."""

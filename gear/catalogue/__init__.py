"""What gear is, as data: classes, checklists, wear, events. Standard library only."""

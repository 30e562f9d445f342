"""A failure counts when it is answered: found in a round, it holds the item at once; the telling may follow."""

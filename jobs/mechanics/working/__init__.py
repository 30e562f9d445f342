"""How each figure comes about: rows of formula, terms, unit and source, and the lines they give for a plan."""

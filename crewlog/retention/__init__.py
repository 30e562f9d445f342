"""How long records keep names, what holds them longer, and what stands in the way of a removal."""

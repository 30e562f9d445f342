"""What every page stands on: who may open what, the request, forms, and the rows of shared parts."""

"""Labels and tracer bands for gear: the code, the sizes they are sold in, and the PDF."""

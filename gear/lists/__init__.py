"""Lists of gear as files: reading a company's own list into the register, and writing register and history out."""

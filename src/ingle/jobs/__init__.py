"""Jobs: one function for each thing a cook asks for."""

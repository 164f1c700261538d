"""Safety: compares numbers with cited limits. Judges, never plans."""

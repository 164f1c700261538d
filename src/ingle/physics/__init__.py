"""Physics: SI floats and arrays in and out; no dates, no files, no limits."""

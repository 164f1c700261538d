"""Changes of the notebook's tables, oldest first. They are only added, never edited, and each runs once."""

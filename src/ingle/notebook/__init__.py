"""What happened in this kitchen: lots, pieces, batches, steps, readings, deviations. Nothing in it is ever unsaid."""

"""Agency settings: what holds now, since when and why, and what a change would do."""

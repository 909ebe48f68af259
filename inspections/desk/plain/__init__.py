"""Pages in plain words, for a board or a council."""

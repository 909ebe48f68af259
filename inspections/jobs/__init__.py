"""Long jobs: what runs them, and what each kind does."""

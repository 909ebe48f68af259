"""Long jobs: mine, how far one is, its result."""

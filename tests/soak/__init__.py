"""Many tablets sending at once to a real server over a bad network; then every row is compared."""

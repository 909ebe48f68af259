"""Who is what in which district, and what that allows."""

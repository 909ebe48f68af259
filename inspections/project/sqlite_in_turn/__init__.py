"""SQLite for several processes that write."""

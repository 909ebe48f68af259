"""One element: its flags, where it stands, its history, its checks and what crews brought home."""

"""A site that is killed while people write to it: what was answered is there, whole."""

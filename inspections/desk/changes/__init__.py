"""Who changed what, when, from what to what."""

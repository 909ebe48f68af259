"""The queue of flags, one flag, and decisions on them."""

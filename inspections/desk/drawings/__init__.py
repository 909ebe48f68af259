"""Drawings of a bridge: added, said anew what they are, withdrawn, read."""

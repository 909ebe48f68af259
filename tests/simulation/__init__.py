"""Invented units with planted causes, to prove the reading of a whole bridge."""

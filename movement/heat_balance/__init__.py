"""Effective temperature of a section from the air and the sun before a reading."""

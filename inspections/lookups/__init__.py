"""Reads that writes rest on as well as pages."""

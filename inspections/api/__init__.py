"""The REST API: the selectors and services of the pages, for other programs."""

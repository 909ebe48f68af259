"""The tests of the tablet against PostgreSQL, on a server that lives as long as the run."""

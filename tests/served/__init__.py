"""A real server: processes of its own on a database of its own, to be killed and started again."""

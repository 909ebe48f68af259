"""A site in one file: its data, its files and the version that wrote them."""

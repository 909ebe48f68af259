"""One page in plain words: for a board or a council, generated from the record."""

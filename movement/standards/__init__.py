"""One file for each standard and edition; one function for each clause."""

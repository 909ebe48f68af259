"""How a reading is judged, explained where it is read."""

"""What is printed: the condition report of a bridge."""

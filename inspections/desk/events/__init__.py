"""Events: recording them, sending crews out, and what moved between before and after."""

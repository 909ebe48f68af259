"""Who may come in: passwords, second factor, sessions, invitations, and the throttle of sign-in."""

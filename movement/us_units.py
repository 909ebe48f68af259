"""Factors for clauses that are written in inches and pounds; all of them are exact."""

MM_PER_IN = 25.4
KN_PER_KIP = 4.4482216152605
MPA_PER_KSI = KN_PER_KIP * 1000.0 / MM_PER_IN**2
N_PER_KN = 1000.0

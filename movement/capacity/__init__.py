"""Capacity as found: what each clause leaves a device, with the deformation measured.

Every check answers with demand, capacity, their quotient, clause and edition, or with the
inputs that it lacks.  The results support an engineer's decision; local codes, the owner's
procedures and a licensed engineer govern.
"""

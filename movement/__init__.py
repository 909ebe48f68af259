"""Movement of bridge bearings, joints and restraints: pure computation.

Nothing here knows the clock, files, a database or a framework: editions, limits
and "now" are arguments, and arrays of any length take the same path as one
reading.  Units are millimetres, metres, degrees Celsius, milliradians and
kilonewtons; every name carries its own.
"""

MODEL_VERSION = "2.1"
"""Changes whenever the same inputs could give another number or verdict."""

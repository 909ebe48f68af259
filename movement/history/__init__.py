"""The history of an element over the years: response, drift, step, blunder, forecast.

Every function takes ragged data as flat arrays: one series or a hundred thousand take
the same path.  A replacement or a reset begins a new series; keeping them apart is the
caller's business.
"""

"""The benchmark, as ratios within one run: `python -m tests.load.benchmark` (needs `wrk`; no network but loopback).

All variants stand at once and are driven in short slices in turn, in reverse order every other round; what counts is
the median of the ratios of each round, since absolute figures on a shared machine mean little.
"""

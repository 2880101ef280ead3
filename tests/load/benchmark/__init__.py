"""The benchmark, as ratios within one run: `python -m tests.load.benchmark` (needs `wrk`; no network but loopback).

All variants run at the same time and get load in short slices, one after the other; every other round is in reverse
order. The result is the median of the ratios of each round, because absolute figures of a shared machine mean little.
"""

"""Oven settings and the time window of a bake, from heat conduction."""

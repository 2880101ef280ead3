"""Cutting a slab into pieces: grids, wedges and rings."""

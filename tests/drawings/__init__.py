"""Drawings: kept ones to compare with, and a real browser to look at them."""

"""Tests of drawings: comparison with reviewed files, and rendering in a real browser."""

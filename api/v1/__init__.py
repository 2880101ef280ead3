"""Version 1: one folder per topic."""

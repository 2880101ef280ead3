"""Cooling, chilling, freezing and thawing."""

"""The endpoints that list ingredients, units and sources."""

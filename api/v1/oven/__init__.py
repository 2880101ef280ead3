"""The oven endpoints."""

"""The cost endpoints."""

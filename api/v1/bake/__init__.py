"""The bake endpoints."""

"""The pieces endpoints."""

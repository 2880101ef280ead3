"""The cuts endpoints."""

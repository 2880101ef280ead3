"""The label endpoints."""

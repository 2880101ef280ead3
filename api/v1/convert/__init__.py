"""The convert endpoints."""

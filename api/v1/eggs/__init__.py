"""The eggs endpoints."""

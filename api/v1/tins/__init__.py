"""The tins endpoints."""

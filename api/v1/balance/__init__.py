"""The balance endpoints."""

"""The batches endpoints."""

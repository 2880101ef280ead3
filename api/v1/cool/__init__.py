"""The cooling endpoint."""

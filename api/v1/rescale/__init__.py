"""The rescale endpoints."""

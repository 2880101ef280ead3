"""Dividing a slab: what `domain.cuts` is made of."""

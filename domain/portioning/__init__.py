"""Scoops, trays and patterns of pieces: what `domain.pieces` is made of."""

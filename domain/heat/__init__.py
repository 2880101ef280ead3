"""Conduction of heat in a batter: what `domain.baking` is made of."""

"""The types that every endpoint of the main job shares: formula, targets, cuts, pieces, bake and shop."""

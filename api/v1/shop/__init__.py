"""What cost, batches, label and balance share: the shop's own goods, packs and prices."""

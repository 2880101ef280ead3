"""The goods of the shop, which batches, cost, label, balance and rescale share."""

"""The shop: goods, orders, costs, labels and baker's percentages of its formulas."""

"""From the bench to the counter: what a shop buys, makes, sells and prints, on the same formulas."""

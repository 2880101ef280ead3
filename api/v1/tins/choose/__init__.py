"""Choice among the shop's tins."""

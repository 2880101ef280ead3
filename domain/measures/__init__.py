"""Units, quantities, temperatures and what a scale shows."""

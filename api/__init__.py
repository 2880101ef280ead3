"""HTTP for the domain: nothing here computes."""

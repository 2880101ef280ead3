"""Cards for the bench."""

"""The formulas endpoints."""

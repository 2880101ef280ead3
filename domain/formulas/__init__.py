"""Formulas in grams, and scaling them from one tin to another."""

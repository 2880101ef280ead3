"""Conversion of whole columns."""

"""Shapes of tins, their short text form, and their area, volume and depth."""

"""Dough pieces: counts and masses, scoops, and patterns on a tray or in a tin."""

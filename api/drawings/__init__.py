"""Drawings as SVG text: to scale, one unit of the viewBox is one millimetre of the slab."""

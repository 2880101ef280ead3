"""The HTTP service. It reads requests and writes answers; `domain` computes them."""

__version__ = "0.3.0.dev0"

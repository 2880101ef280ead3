"""Audit of the reference tables; run it with `python -m tests.audit`."""

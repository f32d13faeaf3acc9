"""Personalisation batches: an order sheet becomes full printer beds and a pick list."""

__version__ = "0.1.0"

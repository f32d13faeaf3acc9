"""Checks that save ink: what in an order sheet is most likely not meant to be printed."""

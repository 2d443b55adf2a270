"""Helpers that tests of several rooms share lie in this directory, which pytest thereby puts on the path."""

"""Helpers that tests of several rooms share lie in this directory, which pytest thereby puts on the path."""

from hypothesis import settings

# The same examples on every machine and in every run: a failure can be repeated, and says something about
# the change.
settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.load_profile("repeatable")

"""Tests of this folder may declare what they verify."""

from verification import verify

__all__ = ["verify"]

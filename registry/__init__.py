"""Pairbook: a registry of matched sensor and electronics halves, and of the vehicles that carry them."""

__version__ = "0.1.0"

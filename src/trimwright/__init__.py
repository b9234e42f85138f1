"""Trimwright: the best cabin a fixed sum of money can buy, and the papers to bring it about."""

__version__ = "0.1.0"

"""The best plan found, in the words people read: `Verdicts` from a counted and simulated candidate."""

from __future__ import annotations

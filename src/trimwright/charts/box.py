"""Upright rectangles on a drawing; x to the right, y down."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def wide(self) -> float:
        return self.right - self.left

    @property
    def high(self) -> float:
        return self.bottom - self.top

    def holds(self, other: Box) -> bool:
        """Whether `other` lies wholly inside."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and self.right >= other.right
            and self.bottom >= other.bottom
        )

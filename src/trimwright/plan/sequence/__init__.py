"""The fourth stage: in which order the cabin comes apart and goes back, with holds that nothing passes."""

from trimwright.plan.sequence.arrange import arrange
from trimwright.plan.sequence.moves import Move, Sequence

__all__ = ["Move", "Sequence", "arrange"]

"""The second stage: `decide(quantities)` → `Verdicts`, the best cabin the sum can buy."""

from trimwright.plan.verdicts.decide import decide, write_mps
from trimwright.plan.verdicts.verdict import Decision, Verdicts

__all__ = ["Decision", "Verdicts", "decide", "write_mps"]

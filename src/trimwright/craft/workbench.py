"""Every question of the workbench by its id, and the one way to ask it: typed lines in, an `Answer` out.

Commands and pages both come through here, with plain text or with lines filled in from a job's task.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from trimwright.craft.answer import Answer
from trimwright.craft.ask_air import COAT, TIN
from trimwright.craft.ask_coats import FILM, GRIT, MIX
from trimwright.craft.ask_torque import TORQUE
from trimwright.craft.asking import Question

QUESTIONS: Mapping[str, Question] = MappingProxyType({each.id: each for each in (COAT, TIN, MIX, FILM, GRIT, TORQUE)})


def ask(question: str, typed: Mapping[str, str]) -> Answer:
    """The answer to one question; BadInput with everything that is wrong with what was typed.

    >>> ask("torque", {"torque": "46 lbf·ft"}).told
    '62.4 N·m (46 lbf·ft). Which bolt it is for was not said.'
    """
    return QUESTIONS[question].answer(typed)

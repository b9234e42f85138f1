"""Weighs finds as they are made, beside the planner and in a process of its own: somebody stands at the open car.

What each answer to a find comes to is worked out from the courses decided before it, so neither the plan that is being
made nor the one that will have the find in it is waited for.
"""

from __future__ import annotations

import logging
from collections.abc import Callable

from django.utils import timezone

from trimwright.web.jobs import decisions, store
from trimwright.web.jobs.beside import Beside
from trimwright.web.jobs.maker import Maker, Order
from trimwright.web.jobs.models import Answer
from trimwright.web.jobs.planner import heard_out

LOOK_S = 0.1
"""How often it looks for a find to weigh."""

log = logging.getLogger(__name__)


class Weigher(Beside):
    """Has finds weighed; what is being weighed when it is told to stop is cut off."""

    name, look_s = "weigher", LOOK_S

    def __init__(self) -> None:
        super().__init__()
        self._maker = Maker()

    def begin(self) -> None:
        """Its process loads while nothing is asked of it."""
        self._maker.start()

    def work_next(self) -> bool:
        """A find."""
        return weigh_next(self._maker, self.stopped)

    def end(self) -> None:
        """End its process."""
        self._maker.end()


def weigh_next(maker: Maker, stopped: Callable[[], bool] = lambda: False) -> bool:
    """Weigh the find that has waited longest; False when none waits."""
    answer = store.take_change()
    if answer is None:
        return False
    try:
        if not _weighed(answer, maker, stopped):
            maker.end()
            store.give_answer_back(answer.pk)
    except (EOFError, OSError):
        log.exception("the process that weighs died")
        maker.end()
        store.end_answer(answer.pk, None)
    return True


def _weighed(answer: Answer, maker: Maker, stopped: Callable[[], bool]) -> bool:
    plan = answer.plan
    before, kept = store.newest_with(plan.job_id, "verdicts"), store.newest_calendar(plan.job_id)
    order = Order(
        store.job_at(plan.job_id, plan.revision),
        store.book_at(plan.book),
        timezone.localdate(plan.asked_at),
        answer.about,
        courses_in(before.result if before else {}),
        decisions.last(plan.job_id),
        kept.data if kept else None,
    )
    maker.start().send(order)
    return heard_out(maker, answer, lambda _share: not stopped() and store.is_asked(answer.pk))


def courses_in(result: object) -> dict[str, str]:
    """The course decided for each part in a plan's plain data."""
    zones = result["verdicts"]["zones"] if isinstance(result, dict) and "verdicts" in result else ()
    return {
        each["part"]: each["course"]
        for zone in zones
        for each in zone["parts"]
        if each["course"] and each["settled_by"] is None
    }

"""Makes the plans that are asked for, one after another, in a process of its own, so that pages stay quick.

The planner (a thread beside the server, or `plan_worker`) owns the database's side; the maker (`maker.py`) owns the
solver. A plan that nobody wants any more, because the job was changed, is cut off by ending the maker; the next one
starts at once. While no plan waits, what is asked about plans is answered, and cut off when one is asked for.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import timedelta

from django.utils import timezone

from trimwright.errors import Problem
from trimwright.web.jobs import calendars, decisions, papers, store
from trimwright.web.jobs.beside import Beside
from trimwright.web.jobs.maker import Maker, Order, Several
from trimwright.web.jobs.models import Answer, PlanRecord

SETTLE_S = 0.3
"""A job that was changed just now may be changed again: its plan waits so long."""
LOOK_S = 0.2
"""How often the planner looks for a plan to make, and whether the one being made is still wanted."""
UNHEARD_S = 120
"""A plan whose worker has told nothing for so long is taken up by another."""
ASKED_AHEAD = ("stairs", "calendar")
"""What every plan but a first call's is asked as soon as it is made (`answering.py`, `calendars.py`)."""

log = logging.getLogger(__name__)


class Planner(Beside):
    """Has waiting plans made, then what is asked about them; what is being made when it is told to stop is cut off."""

    name, look_s = "planner", LOOK_S

    def __init__(self) -> None:
        super().__init__()
        self._maker = Maker()

    def begin(self) -> None:
        """Its process loads while nothing is asked of it."""
        self._maker.start()

    def tidy(self) -> None:
        """What another has dropped is taken up again."""
        store.plans_unheard(timezone.now() - timedelta(seconds=UNHEARD_S))

    def work_next(self) -> bool:
        """A plan, an answer or the calendar of all jobs; nothing while a find is weighed."""
        return not store.finds_wait() and (
            make_next(self._maker, self.stopped, settle_s=SETTLE_S)
            or answer_next(self._maker, self.stopped)
            or lay_out_next(self._maker, self.stopped)
        )

    def end(self) -> None:
        """End its process."""
        self._maker.end()


def make_next(maker: Maker, stopped: Callable[[], bool] = lambda: False, *, settle_s: float = 0.0) -> bool:
    """Make the plan that has waited longest; False when none waits."""
    plan = store.take_plan(settled_before=timezone.now() - timedelta(seconds=settle_s))
    if plan is None:
        return False
    try:
        if not _made(plan, maker, stopped):
            maker.end()
            papers.drop(plan.job_id, plan.pk)
    except (EOFError, OSError):
        log.exception("the process that makes plans died")
        maker.end()
        _end(plan, [Problem("verdicts", "", "could not be worked out: the process for it died.", "Try again.")])
    return True


def _made(plan: PlanRecord, maker: Maker, stopped: Callable[[], bool]) -> bool:
    """Have one plan made; False when it was given up half-way."""
    talk = maker.start()
    talk.send(_order(plan, None))
    progress, gap, told = "", None, timezone.now()
    while True:
        heard = talk.poll(LOOK_S)
        if stopped():
            store.give_plan_back(plan.pk)
            return False
        # the solver tells of every step; the page hears at every look
        if not heard or (timezone.now() - told).total_seconds() > LOOK_S:
            told = timezone.now()
            if not store.tell_plan(plan.pk, progress=progress, gap=gap):
                return False
        if not heard:
            continue
        match talk.recv():
            case "progress", stage, near:
                progress, gap = stage, near
            case "decided", _, decision:
                decisions.keep(plan.job_id, decision)
            case "first", about, data:
                store.keep_first(plan.pk, about, data)
            case "stage", name, data:
                store.add_to_plan(plan.pk, name, data)
            case "answers", _, found:
                store.keep_answers(plan.pk, found)
            case "paper", name, pdf:
                papers.keep(plan, name, pdf)
            case "done", problems, None:
                _end(plan, problems)
                return True
            case "slip", error, where:
                log.error("a plan failed: %s\n%s", error, where)
                what = "could not be worked out: that was our slip, and the log tells more."
                _end(plan, [Problem("verdicts", "", what, "Take back the last change, or try again.")])
                return True


def _end(plan: PlanRecord, problems: list[Problem] | tuple[Problem, ...]) -> None:
    ahead = () if problems or plan.job.is_call else ASKED_AHEAD
    if calendars.at_work(store.job_at(plan.job_id, plan.revision)):  # the calendar goes first
        ahead = ahead[::-1]
    for dropped in store.end_plan(plan.pk, problems, ask=ahead):
        papers.drop(plan.job_id, dropped)


def answer_next(maker: Maker, stopped: Callable[[], bool] = lambda: False) -> bool:
    """Find what has been asked longest about a plan; False when nothing waits, or a plan has to be made first."""
    answer = store.take_answer()
    if answer is None:
        return False
    try:
        if not _answered(answer, maker, stopped):
            maker.end()
            store.give_answer_back(answer.pk)
    except (EOFError, OSError):
        log.exception("the process that answers died")
        maker.end()
        store.end_answer(answer.pk, None)
    return True


def _answered(answer: Answer, maker: Maker, stopped: Callable[[], bool]) -> bool:
    """Have one answer found; False when it was given up half-way."""
    maker.start().send(_order(answer.plan, answer.about))
    return heard_out(maker, answer, lambda share: not stopped() and store.tell_answer(answer.pk, share))


def lay_out_next(maker: Maker, stopped: Callable[[], bool] = lambda: False) -> bool:
    """Lay all jobs over the same hands, where that was asked; False when nobody has, or something else goes first."""
    held = store.take_shared_calendar()
    if held is None:
        return False
    data = None
    try:
        talk = maker.start()
        talk.send(Several(held))
        while (piece := talk.recv() if talk.poll(LOOK_S) else None) is None or piece[0] != "done":
            if stopped() or store.plan_waits():
                maker.end()
                store.ask_for_shared_calendar()
                return True
            match piece:
                case "answer", _, found:
                    data = found
                case "slip", error, where:
                    log.error("the calendar of all jobs failed: %s\n%s", error, where)
                    break
    except (EOFError, OSError):
        log.exception("the process that lays calendars out died")
        maker.end()
    store.end_shared_calendar(data)
    return True


def _order(plan: PlanRecord, about: str | None) -> Order:
    """The plan, or what is asked about it, from what was decided and laid out for its job before."""
    kept = store.newest_calendar(plan.job_id)
    return Order(
        store.job_at(plan.job_id, plan.revision),
        store.book_at(plan.book),
        timezone.localdate(plan.asked_at),
        about,
        decision=decisions.last(plan.job_id),
        calendar=kept.data if kept else None,
    )


def heard_out(maker: Maker, answer: Answer, is_wanted: Callable[[float], bool]) -> bool:
    """Keep what the maker finds; False when it is not wanted to the end. `is_wanted` hears the share worked out."""
    talk, plan, share, data = maker.start(), answer.plan, 0.0, None
    while True:
        heard = talk.poll(LOOK_S)
        if not is_wanted(share):
            return False
        if not heard:
            continue
        match talk.recv():
            case "progress", "", near:
                share = near or share
            case "decided", _, decision:
                decisions.keep(plan.job_id, decision)
            case "first", _, found:
                store.show_first(answer.pk, found)
            case "answer", _, found:
                data = found
            case "stage", name, told:
                store.add_to_plan(plan.pk, name, told)
            case "paper", name, file:
                papers.keep(plan, name, file)
            case "done", _, None:
                store.end_answer(answer.pk, data)
                return True
            case "slip", error, where:
                log.error("an answer failed: %s\n%s", error, where)
                store.end_answer(answer.pk, None)
                return True

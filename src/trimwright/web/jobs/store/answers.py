"""What a plan is asked beyond its verdicts."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction
from django.db.models import F, QuerySet
from django.utils import timezone

from trimwright.web.jobs.answering import CHANGE
from trimwright.web.jobs.calendars import CALENDAR
from trimwright.web.jobs.models import Answer, PlanRecord, State
from trimwright.web.jobs.store.shared_calendar import ask_for_shared_calendar


def keep_answers(pk: int, answers: Mapping[str, object]) -> None:
    """Keep answers that came with a plan, by what they are about; none when the plan is gone."""
    now = timezone.now()
    with transaction.atomic():
        if PlanRecord.objects.filter(pk=pk).select_for_update().exists():
            Answer.objects.filter(plan=pk, about__in=answers).delete()
            rows = (
                Answer(plan_id=pk, about=about, data=data, state=State.DONE, share=1.0, asked_at=now)
                for about, data in answers.items()
            )
            Answer.objects.bulk_create(rows, batch_size=100)


def keep_first(pk: int, about: str, data: object) -> None:
    """Show what is there of an answer at once, and look for it further; nothing when the plan is gone."""
    with transaction.atomic():
        if PlanRecord.objects.filter(pk=pk).select_for_update().exists():
            found = {"data": data, "state": State.WAITING, "asked_at": timezone.now()}
            Answer.objects.update_or_create(plan_id=pk, about=about, defaults=found)


def show_first(pk: int, data: object) -> None:
    """Show what is there of an answer that is being worked out."""
    Answer.objects.filter(pk=pk).update(data=data, heard_at=timezone.now())


def ask(pk: int, about: str, *, urgent: bool) -> Answer:
    """The answer of a plan; asked for when nobody has yet. `urgent` when a person waits for it."""
    found, made = Answer.objects.get_or_create(
        plan_id=pk, about=about, defaults={"urgent": urgent, "asked_at": timezone.now()}
    )
    if urgent and not made and not found.urgent and found.state == State.WAITING:
        Answer.objects.filter(pk=found.pk).update(urgent=True)
    return found


def answer(pk: int, about: str) -> Answer | None:
    """The answer of a plan as far as it has come; None when nobody has asked."""
    return Answer.objects.filter(plan=pk, about=about).first()


def take_answer() -> Answer | None:
    """The answer that has waited longest, urgent ones first, now this worker's; only of plans that are the newest.

    None while a plan waits to be made: it goes first. What `take_change` takes is left to it.
    """
    if PlanRecord.objects.filter(state=State.WAITING).exists():
        return None
    made = Answer.objects.filter(plan__state=State.DONE).exclude(about__startswith=CHANGE)
    return _taken(made)


def take_change() -> Answer | None:
    """The find that has waited longest to be weighed, now this worker's; its plan need not be made yet."""
    return _taken(Answer.objects.filter(about__startswith=CHANGE))


def finds_wait() -> bool:
    """Whether a find is to be weighed, or is being weighed: somebody stands at the open car, and plans can wait."""
    asked = Answer.objects.filter(about__startswith=CHANGE, state__in=(State.WAITING, State.RUNNING), data=None)
    return asked.filter(plan__revision=F("plan__job__revision")).exists()


def change(key: str, find: str) -> Answer | None:
    """What each answer to a find comes to, as it was asked last; its `plan` tells of which revision."""
    asked = Answer.objects.filter(plan__job=key, about=f"{CHANGE}{find}").select_related("plan")
    return asked.order_by("-plan_id").first()


def _taken(among: QuerySet[Answer]) -> Answer | None:
    current = among.filter(state=State.WAITING, plan__revision=F("plan__job__revision")).select_related("plan")
    for found in current.order_by("-urgent", "asked_at")[:10]:
        mine = Answer.objects.filter(pk=found.pk, state=State.WAITING)
        if mine.update(state=State.RUNNING, heard_at=timezone.now()):
            return found
    return None


def tell_answer(pk: int, share: float) -> bool:
    """Note how much of an answer is worked out; False when it has to stand back for a plan, or nobody wants it."""
    if PlanRecord.objects.filter(state=State.WAITING).exists():
        return False
    return bool(Answer.objects.filter(pk=pk).update(share=share, heard_at=timezone.now()))


def is_asked(pk: int) -> bool:
    """Whether anybody still wants this answer."""
    return Answer.objects.filter(pk=pk).exists()


def end_answer(pk: int, data: object | None) -> None:
    """Keep what was found; None when it failed, and what was shown of it first stays."""
    state, found = (State.FAILED, {}) if data is None else (State.DONE, {"data": data})
    Answer.objects.filter(pk=pk).update(state=state, share=1.0, heard_at=timezone.now(), **found)
    if Answer.objects.filter(pk=pk, about=CALENDAR).exists():
        ask_for_shared_calendar()


def give_answer_back(pk: int) -> None:
    """Put an answer that could not be finished back among the waiting."""
    Answer.objects.filter(pk=pk, state=State.RUNNING).update(state=State.WAITING, share=0.0)


def ask_anew(pk: int, about: str) -> None:
    """Ask once more what failed."""
    failed = Answer.objects.filter(plan=pk, about=about, state=State.FAILED)
    failed.update(state=State.WAITING, share=0.0, urgent=True)


def ask_over(pk: int, about: str) -> None:
    """Ask once more what was found or failed; what was found stays until there is another."""
    ended = Answer.objects.filter(plan=pk, about=about, state__in=(State.DONE, State.FAILED))
    ended.update(state=State.WAITING, share=0.0, urgent=True)


def newest_calendar(key: str, *, printed: bool = False) -> Answer | None:
    """The newest calendar that could be laid out: while a plan is made anew, or fits no calendar, the one before.

    `printed`: one that is on paper, so not one that was laid out at once and is looked for further.
    """
    found = Answer.objects.filter(plan__job=key, about=CALENDAR, data__has_key="calendar")
    if printed:
        found = found.exclude(data__has_key="first")
    return found.order_by("-plan_id").first()

"""Where every job stands, a card a job: its stage, what it needs next and waits for, and whether its day is sure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from trimwright.job.account import waited_for
from trimwright.job.document import Job
from trimwright.job.events import Find, Opened, Ordered, Promised
from trimwright.job.hand_over import owners_book
from trimwright.job.milestones import handed_over, intake_of
from trimwright.web.jobs import store
from trimwright.web.jobs.models import JobRecord
from trimwright.web.jobs.stages import RailEntry, onward, rail

Plain = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Due:
    """The day a job is wanted back, and when it ends: by itself, and beside the others."""

    wanted: date | None
    end: datetime | None
    alone: datetime | None
    risk: str
    """`late`, `tight`, or nothing."""

    @property
    def shoved(self) -> bool:
        """Whether the other jobs make it later by a day or more."""
        return bool(self.end and self.alone and self.end.date() > self.alone.date())


@dataclass(frozen=True, slots=True)
class Standing:
    """One job, as the list of jobs shows it."""

    row: JobRecord
    stage: RailEntry | None
    """The last stage that was begun."""
    onward: tuple[str, str] | None
    next: Plain | None
    """The next thing for hands: what, and when."""
    window: Plain | None
    """What closes next."""
    parts: int
    """Packs and pieces that are on the way."""
    yeses: tuple[tuple[str, str], ...]
    """What the owner has to say yes to, and where."""
    is_over: bool
    due: Due


def standings(rows: list[JobRecord], shared: Plain | None, *, may_quote: bool) -> list[Standing]:
    """Every job of these; `shared` is the plain data of the calendar of all."""
    plans = store.newest_results(row.key for row in rows)
    return [_standing(row, plans.get(row.key), shared or {}, may_quote=may_quote) for row in rows]


def _standing(row: JobRecord, plan: dict[str, Any] | None, shared: Plain, *, may_quote: bool) -> Standing:
    job = store.job_at(row.key, row.revision)
    entries = rail(row, "", job, plan)
    is_over = handed_over(job) is not None
    own = shared.get("jobs", {}).get(row.key, {})
    return Standing(
        row=row,
        stage=next((each for each in reversed(entries) if each.tenths), None),
        onward=onward(row, entries, may_quote=may_quote),
        next=None if is_over else _in_time(shared.get("next", {}).get(row.key), "start"),
        window=None if is_over else _in_time(own.get("window"), "closes"),
        parts=sum(waited_for(each, job.events) for each in job.events if isinstance(each, Ordered)),
        yeses=tuple(_yeses(row, job, plan)),
        is_over=is_over,
        due=_due(job, own, shared.get("ends", {}).get(row.key), shared.get("zone"), is_over=is_over),
    )


def _yeses(row: JobRecord, job: Job, plan: dict[str, Any] | None) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    open_finds = [each for each in job.events if isinstance(each, Find) and each.answer == "undecided"]
    if open_finds:
        told = ngettext("one find", "%(n)s finds", len(open_finds)) % {"n": len(open_finds)}
        found.append((told, reverse("weighed", args=[row.key, open_finds[-1].id])))
    intake = intake_of(job)
    if intake is not None and intake.yes is None:
        found.append((_("the intake"), reverse("intake", args=[row.key])))
    promised = any(isinstance(each, Promised) for each in job.events)
    begun = any(isinstance(each, Opened) for each in job.events)
    if plan is not None and row.parts == row.seen and not promised and not begun:
        found.append((_("the quote"), reverse("quote", args=[row.key])))
    book = owners_book(job)
    if book is not None and book.yes is None:
        found.append((_("the hand-over book"), reverse("handover", args=[row.key])))
    return found


def _due(job: Job, own: Plain, end: str | None, zone: str | None, *, is_over: bool) -> Due:
    """Late where it ends after the day it is wanted; tight where what its own promise adds for luck reaches past it."""
    wanted = job.time.wanted_by
    if is_over or not own:
        return Due(wanted, None, None, "")
    alone = datetime.fromisoformat(own["alone"])
    ends = datetime.fromisoformat(end) if end else alone
    if wanted is None:
        return Due(None, ends, alone, "")
    here = ZoneInfo(zone) if zone else ends.tzinfo
    last = datetime.combine(wanted, time.max, here)
    spare = max(datetime.fromisoformat(own["promised"]) - alone, alone - alone)
    risk = "late" if ends > last else "tight" if ends + spare > last else ""
    return Due(wanted, ends, alone, risk)


def _in_time(told: Plain | None, moment: str) -> Plain | None:
    return None if told is None else {**told, moment: datetime.fromisoformat(told[moment])}


def days_in_time(shared: Plain) -> list[dict[str, Any]]:
    """The table by the day, its instants as such."""
    return [
        {
            **day,
            "day": date.fromisoformat(day["day"]),
            "jobs": [
                {
                    **each,
                    "name": shared["names"][each["key"]],
                    "from": datetime.fromisoformat(each["from"]),
                    "until": datetime.fromisoformat(each["until"]),
                }
                for each in day["jobs"]
            ],
        }
        for day in shared.get("days", ())
    ]

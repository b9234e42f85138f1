"""What the pages of the Verdicts stage show: a plan's plain data, beside the plan before it and what it answered."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from django.urls import reverse
from django.utils.formats import number_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trimwright.charts import cabin_plan
from trimwright.facts.trade import Trade
from trimwright.job.document import Job, Part
from trimwright.job.fields import treatments_named
from trimwright.web.jobs.templatetags.trimwright import about_money, hours, money

Plain = Mapping[str, Any]

LEAVE = "leave"
COLOURS: Mapping[str, str | Promise] = {
    "after": gettext_lazy("after"),
    "now": gettext_lazy("now"),
    "changed": gettext_lazy("changed"),
    "money": gettext_lazy("money"),
}
"""What the cabin plan can be coloured by."""
FIRST_COLOUR = "after"
STRONGEST, FAINTEST = 10, 1
NEARLY = 0.00005
"""A gap under this is none, as it is printed."""


# ---- verdicts, by zone, beside those of the plan before ------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Row:
    """One part's verdict, and the one it had in the plan before."""

    now: Plain
    was: Plain | None
    whole: str
    """The name of the whole that decides it; empty when it is decided by itself."""

    @property
    def is_left(self) -> bool:
        return self.now["course"] is None or self.now["kind"] == LEAVE

    @property
    def change(self) -> Literal["", "better", "worse", "other"]:
        """How it differs from the plan before."""
        if self.was is None or (self.was["course"], self.was["finish_after"]) == (
            self.now["course"],
            self.now["finish_after"],
        ):
            return ""
        more = self.now["finish_after"] - self.was["finish_after"]
        return "better" if more > 0 else "worse" if more < 0 else "other"


@dataclass(frozen=True, slots=True)
class Zone:
    """The verdicts of one zone: what is worked on, changed or held, and what is quietly left."""

    name: str
    rows: tuple[Row, ...]
    left: tuple[Row, ...]

    @property
    def money(self) -> int:
        return sum(each.now["money"] for each in (*self.rows, *self.left))

    @property
    def minutes(self) -> int:
        return sum(each.now["minutes"] for each in (*self.rows, *self.left))


def zones_of(result: Plain, before: Plain | None, opened: str | None) -> tuple[Zone, ...]:
    """Every verdict by zone; the opened part never hides among those that are left."""
    was = {each["part"]: each for each in _parts(before)} if before else {}
    names = {each["part"]: each["name"] for each in _parts(result)}
    zones = []
    for zone in result["verdicts"]["zones"]:
        rows = [Row(each, was.get(each["part"]), names.get(each["settled_by"] or "", "")) for each in zone["parts"]]
        quiet = [each for each in rows if each.is_left and not each.change and not _held(each.now, opened)]
        zones.append(Zone(zone["zone"], tuple(each for each in rows if each not in quiet), tuple(quiet)))
    return tuple(zones)


def verdict_of(result: Plain, part: str) -> Plain | None:
    """The part's verdict; None when the plan does not know it yet."""
    return next((each for each in _parts(result) if each["part"] == part), None)


def _held(verdict: Plain, opened: str | None) -> bool:
    return bool(verdict["pinned"] or verdict["promised"] or verdict["done"] or verdict["part"] == opened)


def _parts(result: Plain) -> Iterator[Plain]:
    for zone in result["verdicts"]["zones"]:
        yield from zone["parts"]


@dataclass(frozen=True, slots=True)
class News:
    """What changed since the plan before: what was done to the job, finish, money that is spoken for, verdicts."""

    lines: Sequence[str]
    before: Plain
    now: Plain
    changed: tuple[Row, ...]

    @property
    def freed(self) -> int:
        """Money less that is firm or in the reserve; under 0 when it is more [minor]."""
        return int(self.before["firm"] + self.before["reserve"] - self.now["firm"] - self.now["reserve"])

    @property
    def taken(self) -> int:
        return -self.freed

    @property
    def saved_minutes(self) -> int:
        return int(self.before["minutes"] - self.now["minutes"])

    @property
    def added_minutes(self) -> int:
        return -self.saved_minutes


def news_of(result: Plain, before: Plain | None, zones: Sequence[Zone], lines: Sequence[str]) -> News | None:
    """What changed; None for a first plan."""
    if before is None:
        return None
    changed = tuple(each for zone in zones for each in zone.rows if each.change)
    return News(lines, before["money"], result["money"], changed)


# ---- the cabin plan --------------------------------------------------------------------------------------------------


def cabin(job: Job, key: str, zones: Sequence[Zone], colour: str, selected: str | None) -> str:
    """The cabin plan coloured by what was chosen; every region leads to its part."""
    rows = {each.now["part"]: each for zone in zones for each in (*zone.rows, *zone.left)}
    dearest = max((each.now["money"] for each in rows.values()), default=0)
    return cabin_plan.draw(
        job,
        {part: _level(each, colour, dearest) for part, each in rows.items()},
        title=_("Cabin plan"),
        told={part: _told(each, colour, job.money.currency) for part, each in rows.items()},
        selected=selected,
        link=lambda part: reverse("verdict_part", args=[key, part.id]),
    )


def _level(row: Row, colour: str, dearest: int) -> int:
    match colour:
        case "now":
            return int(row.now["finish_before"])
        case "changed":
            return STRONGEST if row.change else FAINTEST
        case "money":
            return round(STRONGEST * max(0, row.now["money"]) / dearest) if dearest > 0 else 0
    return int(row.now["finish_after"])


def _told(row: Row, colour: str, currency: str) -> str:
    now = row.now
    told = {
        "now": _("finish %(finish)s now") % {"finish": now["finish_before"]},
        "money": about_money(now["money"], currency),
        "changed": _("not changed"),
        "after": _("finish %(finish)s") % {"finish": now["finish_after"]},
    }[colour]
    if colour == "changed" and row.change and row.was:
        told = _("was %(verdict)s, finish %(finish)s") % {
            "verdict": row.was["treatment"], "finish": row.was["finish_after"]
        }  # fmt: skip
    return f"{now['treatment']}, {told}" if now["treatment"] else told


# ---- one part --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Option:
    """One way to treat a part, and what choosing it instead would mean."""

    way: Plain
    chosen: bool
    other: Plain | None
    """What it loses or costs more, once that is worked out."""
    worth: Plain | None
    """The most to pay, where it is bought."""
    currency: str

    @property
    def can_be_refused(self) -> bool:
        """Whether it can be said that the part must not have it."""
        return not (self.way["done"] or self.way["promised"])

    @property
    def money_alone(self) -> str:
        """Money more or less when nothing else changes."""
        more = self.other["alone"]["money"] if self.other else 0
        return _more_or_less(more, money(abs(more), self.currency))

    @property
    def time_alone(self) -> str:
        """Work more or less when nothing else changes."""
        more = self.other["alone"]["minutes"] if self.other else 0
        return _more_or_less(more, hours(abs(more)))


def _more_or_less(more: int, amount: str) -> str:
    return _("%(amount)s more") % {"amount": amount} if more >= 0 else _("%(amount)s less") % {"amount": amount}


def options(details: Plain, why: Plain | None, verdict: Plain, currency: str) -> tuple[Option, ...]:
    """Every way, the chosen one first, then those that lose least."""
    others = why["others"] if why else {}
    worth = {each["course"]: each for each in why["worth"]} if why else {}
    found = [
        Option(way, way["id"] == verdict["course"] and not verdict["settled_by"], others.get(way["id"]),
               worth.get(way["id"]), currency)
        for way in details["courses"]
    ]  # fmt: skip

    def rank(option: Option) -> tuple[bool, bool, float, int]:
        other = option.other or {"fits": True, "points_lost": 0, "money_more": 0}
        return not option.chosen, not other["fits"], other["points_lost"] or 0, other["money_more"]

    return tuple(sorted(found, key=rank) if others else sorted(found, key=lambda each: not each.chosen))


@dataclass(frozen=True, slots=True)
class Ban:
    """What a part must not have."""

    course: str
    name: str


def bans_of(part: Part, job: Job, trade: Trade) -> list[Ban]:
    """What the person has said a part must not have, leaving it among them."""
    found = [Ban(each, course_name(each, trade)) for each in part.bans]
    return [Ban(LEAVE, course_name(LEAVE, trade)), *found] if part.id in job.wishes.must_do else found


def course_name(course: str, trade: Trade) -> str:
    """A course as people read it: its last treatment."""
    last = treatments_named(course)[-1]
    return trade.treatments[last].name if last in trade.treatments else course


def faults_of(part: Part, trade: Trade) -> str:
    """What is wrong with a part, in a row."""
    return ", ".join(f"{trade.faults[each.fault].name} ({each.extent})" for each in part.faults)


# ---- what more buys --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Step:
    """One stair as the page tells it; `more` against the decided plan's sum."""

    at: int
    sum: str
    more: str
    finish: int
    hours: str
    proven: str
    changes: Sequence[Plain]

    def plain(self) -> dict[str, Any]:
        """For the slider."""
        return {"sum": self.sum, "more": self.more, "finish": self.finish, "hours": self.hours, "proven": self.proven,
                "changes": list(self.changes)}  # fmt: skip


def steps_of(stairs: Plain, currency: str) -> list[Step]:
    """Every stair in words."""
    here = stairs["stairs"][stairs["here"]]["sum"]
    return [_step(at, each, here, currency) for at, each in enumerate(stairs["stairs"])]


@dataclass(frozen=True, slots=True)
class Beside:
    """The stair next to the sum: how far, what changes."""

    amount: str
    finish: int
    changes: Sequence[Plain]


def beside(stair: Plain | None, sum_minor: int, currency: str) -> Beside | None:
    """What comes in next, or falls out first; None where there is nothing."""
    if stair is None:
        return None
    return Beside(about_money(abs(stair["sum"] - sum_minor), currency), stair["finish"], stair["changes"])


def _step(at: int, stair: Plain, here: int, currency: str) -> Step:
    more = stair["sum"] - here
    return Step(
        at=at,
        sum=money(stair["sum"], currency),
        more=_more_or_less(more, about_money(abs(more), currency)) if more else "",
        finish=stair["finish"],
        hours=hours(stair["minutes"]),
        proven=_proven(stair["gap"]),
        changes=[{**each, "mark": _mark(each)} for each in stair["changes"]],
    )


def _proven(gap: float | None) -> str:
    if gap is None:
        return _("not proven")
    return _("within %(gap)s %% of the best") % {"gap": number_format(100 * gap, 2)} if gap >= NEARLY else ""


def _mark(change: Plain) -> str:
    more = change["after"] - change["before"]
    return "better" if more > 0 else "worse" if more < 0 else "other"

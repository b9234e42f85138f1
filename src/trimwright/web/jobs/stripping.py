"""What the strip-down's screens show: the plan's way in as the job's events have it now, a screen a step.

The order is the newest plan's; what is off, what holds and for how long is asked of the job and the clock.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import lru_cache
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from django import forms
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import get_language, gettext_lazy
from django.utils.translation import gettext as _

from trimwright import units
from trimwright.errors import Problem
from trimwright.facts import load
from trimwright.facts.fixings import Fixing, used_once
from trimwright.facts.trade import Find as Suspected
from trimwright.facts.trade import Trade
from trimwright.job.document import Job, Part
from trimwright.job.events import Bag, Find, Intake, Opened
from trimwright.job.milestones import intake_of
from trimwright.web.jobs import planning, store, walking
from trimwright.web.jobs.store.early import BATTERY

if TYPE_CHECKING:
    from trimwright.web.jobs.planning import Finding, Hold, Move, SafeWait

RECORD, WAIT, FOUND = "record", "wait", "found"
"""Screens that take nothing off: the intake, the wait, a find."""
PHOTO_OF = "off:"
"""Photos of a step are of `off:STEP`."""
EXTENTS = (
    ("light", gettext_lazy("light")),
    ("medium", gettext_lazy("medium")),
    ("heavy", gettext_lazy("heavy")),
)


@dataclass(frozen=True)
class Screen:
    """One step on its screen."""

    id: str
    name: str
    url: str
    kind: str
    """`record`, `battery`, `wait` or `off`."""
    move: Move | None
    done: bool
    opened: Opened | None
    bag: Bag | None
    holds: tuple[Hold, ...]
    photos: Sequence[str]
    cautions: Sequence[str]
    store_how: Sequence[str] = ()
    """How a unit that can fire is laid down at once."""
    before: Sequence[tuple[str, str]] = ()
    """What lies on it and is not noted off: name and address."""
    edit_id: str = field(default_factory=lambda: uuid4().hex)

    @property
    def wait(self) -> Hold | None:
        """The hold that is over by itself, where it is the only one."""
        return self.holds[0] if len(self.holds) == 1 and self.holds[0].until else None

    @property
    def others(self) -> tuple[Hold, ...]:
        """The holds that somebody has to do something about."""
        return tuple(each for each in self.holds if each.until is None)

    @property
    def until_ms(self) -> int:
        """When the wait is over [ms since 1970]."""
        return milliseconds(self.wait.until) if self.wait and self.wait.until else 0

    @property
    def trained(self) -> bool:
        return self.move is not None and "trained person" in self.move.conditions

    @property
    def facts(self) -> str:
        """What the trade says of it: what to undo and unplug, how, marks, pictures, what may lie there."""
        move = self.move
        if move is None:
            return ""
        finds = tuple((each.name, each.must_deal) for each in move.may_find)
        return facts_of(move.fixings, move.clips, move.how, move.marks, move.photos, finds, get_language())

    @property
    def time(self) -> str:
        return units.hours(self.move.minutes) if self.move and self.move.minutes else ""

    @property
    def finds(self) -> tuple[Finding, ...]:
        return self.move.may_find if self.move else ()


@lru_cache(maxsize=1024)
def facts_of(
    fixings: tuple[Fixing, ...],
    clips: int,
    how: tuple[str, ...],
    marks: tuple[str, ...],
    photos: tuple[str, ...],
    finds: tuple[tuple[str, bool], ...],
    language: str | None,
) -> str:
    """What the trade says of one step, set once for all pages that show it; it is most of what they hold.

    `language` is that of the page: what was set in another is not shown.
    """
    undone = [each.told for each in fixings if each.form != "plug"]
    if clips > 1 and not any(each.form == "clip" and each.least is not None for each in fixings):
        undone.append(_("about %(n)s clips in all") % {"n": clips})
    told = {
        "undone": undone,
        "once": used_once(fixings),
        "plugs": [(each.told, each.fires is not None) for each in fixings if each.form == "plug"],
        "how": how,
        "marks": marks,
        "photos": photos,
        "finds": [{"name": name, "must_deal": must} for name, must in finds],
    }
    return render_to_string("jobs/strip_down/_facts.html", told)


@dataclass(frozen=True)
class WayIn:
    """The whole strip-down as it stands."""

    screens: tuple[Screen, ...]
    safe_wait: SafeWait | None
    """None where nothing restrained is touched."""
    safe_from: datetime | None
    taken_in: Intake | None
    finds: tuple[Find, ...]
    """Finds that have no answer yet."""

    @property
    def off(self) -> int:
        return sum(each.done for each in self.taken_off)

    @property
    def taken_off(self) -> tuple[Screen, ...]:
        """The screens that take something off the car."""
        return tuple(each for each in self.screens if each.kind == "off")

    @property
    def counted(self) -> str:
        return _("%(off)s of %(all)s off") % {"off": self.off, "all": len(self.taken_off)}

    @property
    def zones(self) -> list[tuple[str, list[Screen]]]:
        """The list: before anything is touched, then zone by zone as they come."""
        found: list[tuple[str, list[Screen]]] = []
        for each in self.screens:
            name = each.move.zone if each.kind == "off" and each.move else str(_("Before anything is touched"))
            if not found or found[-1][0] != name:
                found.append((name, []))
            found[-1][1].append(each)
        return found

    @property
    def meanwhile(self) -> list[Screen]:
        """What may come off while the wait runs."""
        return [each for each in self.taken_off if not each.done and not each.holds and not each.before][:8]

    @property
    def onward(self) -> Screen | None:
        """The next that is open to be done; one that a hold keeps only when there is no other."""
        open_ones = [each for each in self.screens if not each.done]
        return next((each for each in open_ones if not each.holds), open_ones[0] if open_ones else None)

    def after(self, step: str) -> Screen | None:
        """The next open one behind a step, round to the front; after the battery the wait, which says why."""
        ids = [each.id for each in self.screens]
        at = ids.index(step) + 1 if step in ids else 0
        if step == BATTERY and self.safe_wait:
            return self.screen(WAIT)
        ahead = [each for each in (*self.screens[at:], *self.screens[:at]) if not each.done and each.id != step]
        return next((each for each in ahead if not each.holds), ahead[0] if ahead else None)

    def screen(self, step: str) -> Screen | None:
        return next((each for each in self.screens if each.id == step), None)


def way_in(key: str, result: Mapping[str, Any] | None, job: Job, now: datetime) -> WayIn:
    """The strip-down of the newest plan that has one, as it stands at `now`."""
    trade = load()
    undecided = tuple(each for each in job.events if isinstance(each, Find) and each.answer == "undecided")
    if result is None:
        return WayIn((), None, None, intake_of(job), undecided)
    sequence = planning.arranged(dict(result))
    wait, until = planning.make_safe(job, trade)
    making = _Making(key, job, trade, now, store.photos_of(key, PHOTO_OF), {each.id: each for each in sequence.strip})
    screens = tuple(making.screens())
    return WayIn(screens, wait if sequence.safe_wait else None, until, intake_of(job), undecided)


@dataclass(frozen=True)
class _Making:
    """All that screens are made from."""

    key: str
    job: Job
    trade: Trade
    now: datetime
    photos: Mapping[str, Sequence[str]]
    moves: Mapping[str, Move]

    def screens(self) -> Iterator[Screen]:
        opened = {each.step: each for each in self.job.events if isinstance(each, Opened)}
        off = {step for step, each in opened.items() if not each.back_on}
        bags = {each.step: each for each in self.job.events if isinstance(each, Bag)}
        for move in self.moves.values():
            step = move.step or ""
            match move.doing:
                case "record":
                    yield self._screen(RECORD, "record", move, done=intake_of(self.job) is not None)
                case "battery off":
                    ready = self.moves.get("ready")
                    more = (ready.name,) if ready else ()
                    yield self._screen(
                        BATTERY, "battery", move, done=step in off, opened=opened.get(step),
                        holds=planning.coming_off(step, self.job, self.trade, self.now), store_how=more,
                    )  # fmt: skip
                case "wait":
                    holds = planning.waiting(self.job, self.trade, self.now)
                    yield self._screen(WAIT, "wait", move, done=not holds, holds=holds)
                case "off":
                    laid = self.moves.get(f"store:{step}")
                    yield self._screen(
                        step, "off", move, done=step in off, opened=opened.get(step), bag=bags.get(step),
                        holds=() if step in off else planning.coming_off(step, self.job, self.trade, self.now),
                        store_how=laid.how if laid else (), more=laid.cautions if laid else (),
                        before=[
                            (self.moves[each].name, self._url(self.moves[each].step or ""))
                            for each in move.after
                            if each.startswith(PHOTO_OF) and each in self.moves and self.moves[each].step not in off
                        ],
                    )  # fmt: skip

    def _screen(self, name: str, kind: str, move: Move, *, done: bool, more: Sequence[str] = (), **told: Any) -> Screen:
        cautions = [self.trade.cautions[each].text for each in dict.fromkeys((*move.cautions, *more))]
        return Screen(
            id=name, name=capfirst(str(NAMES.get(kind, move.name))), url=self._url(name), kind=kind,
            move=move, done=done, cautions=cautions, photos=self.photos.get(photo_of(name), ()),
            **{"opened": None, "bag": None, "holds": (), **told},
        )  # fmt: skip

    def _url(self, step: str) -> str:
        return reverse("strip_step", args=[self.key, step])


NAMES = {
    "record": gettext_lazy("Take the car in"),
    "battery": gettext_lazy("Battery negative off, lug insulated"),
    "wait": gettext_lazy("Wait"),
}


def photo_of(step: str) -> str:
    """What a photo of a step is of, as its row has it."""
    return f"{PHOTO_OF}{step}"[:80]


def milliseconds(at: datetime) -> int:
    """Since 1970."""
    return round(at.timestamp() * 1000)


# ---- what is found --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Takes:
    """What dealing with a find takes: money [minor] and minutes, each low, likely, high."""

    money: tuple[int, int, int]
    minutes: tuple[int, int, int]


def takes(suspected: Suspected, extent: str, job: Job, trade: Trade) -> Takes:
    """The trade's figures for a suspected fault, by how bad it is.

    Light lies between its low and its likely figure, heavy between likely and high; our own reading, no source.
    """
    money, minutes = planning.find_takes(suspected.id, job, trade)

    def read(figures: tuple[int, int, int]) -> tuple[int, int, int]:
        low, likely, high = figures
        return {"light": (low, low, likely), "heavy": (likely, high, high)}.get(extent, figures)

    return Takes(read(money), read(minutes))


def suspects(screens: Sequence[Screen], trade: Trade) -> dict[str, list[str]]:
    """The faults that each step may show, by the trade's ids."""
    return {
        each.id: [name for find in each.finds if (name := find.id.partition("@")[0]) in trade.finds] for each in screens
    }


def part_at(job: Job, step: str) -> Part | None:
    """The surveyed part that a step takes off; None where it is none of the survey's."""
    kind, _dot, place = step.partition(".")
    return next((each for each in job.parts if each.kind == kind and (each.place or "") == place), None)


def words() -> dict[str, str]:
    """What the script says."""
    wanted = ("waiting", "away", "locked", "refused", "full", "undo_waiting")
    said = walking.words()
    return {**{each: said[each] for each in wanted}, "photo_waits": _("A photo, waiting"), "row_waits": _("waiting")}


def follows_battery(step: str, job: Job) -> bool:
    """Whether a step comes off only once the battery is."""
    return any(each.kind == "battery on" for each in planning.coming_off(step, without_battery(job), load(), _LONG_AGO))


def without_battery(job: Job) -> Job:
    """The job as if the battery had never been off."""
    events = tuple(each for each in job.events if not (isinstance(each, Opened) and each.step == BATTERY))
    return job.model_copy(update={"events": events})


_LONG_AGO = datetime.min.replace(tzinfo=UTC)


def problems(form: forms.Form) -> list[Problem]:
    """All that is wrong with a form, by what its fields are called."""
    named = {name: str(each.label or name) for name, each in form.fields.items()}
    return [
        Problem(named.get(name, ""), str(form.data.get(name, "")), str(each))
        for name, errors in form.errors.items()
        for each in errors
    ]

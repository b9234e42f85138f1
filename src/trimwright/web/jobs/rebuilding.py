"""What the rebuild's pages stand on: where each move stands, and the way out of whatever holds it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trimwright import units
from trimwright.book.applied import with_own_treatments
from trimwright.facts import load
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.events import Snag
from trimwright.web.jobs import planning, store
from trimwright.web.jobs.store.held import problem
from trimwright.web.jobs.stripping import photo_of

if TYPE_CHECKING:
    from django.utils.functional import Promise

    from trimwright.web.jobs.planning import Hold, Standing, Torque, WayBack

STEP, TESTS, SNAGS = "rebuild_step", "final_tests", "snags"
PLACES: Mapping[str, tuple[str | Promise, str]] = {
    "not off": (gettext_lazy("Note it off"), "strip_down"),
    "battery on": (gettext_lazy("Take it off first"), "strip_down"),
    "not done": (gettext_lazy("Note it done"), "bench"),
    "not here": (gettext_lazy("Note it arrived"), "buying"),
    "not paid": (gettext_lazy("Note what it cost"), "buying"),
    "off": (gettext_lazy("Put it back"), STEP),
    "battery off": (gettext_lazy("Put it on"), STEP),
    "check": (gettext_lazy("Make the check"), STEP),
    "no torque": (gettext_lazy("Enter the book’s figure"), STEP),
    "not tightened": (gettext_lazy("Tick it"), STEP),
    "other torque": (gettext_lazy("Tighten it to that"), STEP),
    "bag": (gettext_lazy("Open the bag"), STEP),
    "find": (gettext_lazy("Deal with it"), "change"),
    "snag": (gettext_lazy("Put it right"), SNAGS),
    "not tried": (gettext_lazy("Make the tests"), TESTS),
    "failed": (gettext_lazy("Try it again"), TESTS),
    "not licensed": (gettext_lazy("Say who made it"), TESTS),
    "not signed": (gettext_lazy("Sign the sheet"), TESTS),
}
"""By what stands in the way: the way out in words, and the page where it lies."""
CHECK_MOVES = ("clips", "floor", "drains", "looms")


@dataclass(frozen=True, slots=True)
class InTheWay:
    """One thing that stands in the way, with its way out where there is a page for it."""

    hold: Hold
    way_out: str
    url: str


def seen_now(key: str) -> tuple[Job, Mapping[str, Any] | None]:
    """The newest job, and the newest plan's result where it knows the way back."""
    job, plan = store.job_at(key, store.record(key).revision), store.newest_result(key)
    result = plan.result if plan else None
    return job, result if result and "musts" in result else None


def way_back(result: Mapping[str, Any], job: Job, now: datetime | None = None) -> WayBack:
    """Where the way back stands, with the shop's own treatments among the trade's."""
    trade = with_own_treatments(load(), store.book())
    return planning.way_back(dict(result), job, trade, now or timezone.now())


def in_the_way(holds: Iterable[Hold], key: str) -> list[InTheWay]:
    """Each hold with its way out."""
    return [InTheWay(each, *_way_out(each, key)) for each in holds]


def _way_out(hold: Hold, key: str) -> tuple[str, str]:
    told, view = PLACES.get(hold.kind, ("", ""))
    if view == STEP:
        move = hold.about if hold.about in CHECK_MOVES else f"back:{hold.about}"
        return str(told), reverse(STEP, args=[key, "battery_on" if hold.about == "battery_off" else move])
    try:
        return str(told), reverse(view, args=[key, hold.about] if view == "change" else [key])
    except NoReverseMatch:  # its page is not there
        return "", ""


TORQUES = ("no torque", "not tightened", "other torque")
"""What is put right on the move's own screen."""


@dataclass(frozen=True, slots=True)
class Bolt:
    """A bolt of a move with what was typed about it last, where that could not be taken."""

    torque: Torque
    number: int
    figure: str
    """In both units."""
    set_to: str
    """In both units, when it was ticked."""
    suggested: str
    """What the wrench is most likely set to, to be sent as it is."""


@dataclass(frozen=True, slots=True)
class Screen:
    """One move as its screen shows it."""

    standing: Standing
    url: str
    in_the_way: list[InTheWay]
    bolts: list[Bolt]
    cautions: list[str]
    photos: Sequence[str]
    """As it came off, by name."""
    edit_id: str

    @property
    def id(self) -> str:
        return self.standing.move.id

    @property
    def name(self) -> str:
        move = self.standing.move
        return move.name[:1].upper() + move.name[1:]

    @property
    def done(self) -> bool:
        """Whether nothing is left to do: it is made, and its bag is empty."""
        return self.standing.state == "made" and not self.bag_waits

    @property
    def held(self) -> bool:
        """Whether something else has to be done first."""
        return any(each.until is None and each.kind not in TORQUES for each in self.standing.holds)

    @property
    def bolts_wait(self) -> bool:
        """Whether what holds people is not tightened to its figure yet."""
        return any(each.kind in TORQUES for each in self.standing.holds)

    @property
    def until_ms(self) -> int | None:
        """When the last wait is over [ms since 1970]; None where none runs."""
        ends = [each.until for each in self.standing.holds if each.until]
        return round(max(ends).timestamp() * 1000) if ends else None

    @property
    def why_wait(self) -> str:
        """What is waited for longest."""
        waits = [each for each in self.standing.holds if each.until]
        return line_of(max(waits, key=lambda each: each.until or timezone.now())) if waits else ""

    @property
    def others_in_the_way(self) -> list[InTheWay]:
        """All that has to be done elsewhere first: waits run down beside, and bolts stand on the screen itself."""
        return [each for each in self.in_the_way if each.hold.until is None and each.hold.kind not in TORQUES]

    @property
    def bag_waits(self) -> bool:
        """Whether its bag is open."""
        return self.standing.bag is not None and self.standing.bag.state == "open"

    @property
    def trained(self) -> bool:
        return "trained person" in self.standing.move.conditions

    @property
    def nobody(self) -> bool:
        return "nobody in the car" in self.standing.move.conditions


@dataclass(frozen=True, slots=True)
class Overview:
    """The way back in short: what can be made now, what waits, what is made."""

    open: tuple[Screen, ...]
    held: tuple[Screen, ...]
    made: tuple[Screen, ...]
    never_off: int

    @property
    def screens(self) -> tuple[Screen, ...]:
        """Those that have a screen, what can be made standing first."""
        return (*self.open, *self.held, *self.made)

    @property
    def onward(self) -> Screen | None:
        """The move to make next."""
        return self.open[0] if self.open else None

    def screen(self, move: str) -> Screen:
        """The screen of one move; NoSuchRecord where the way back has none of that name."""
        for each in self.screens:
            if each.id == move:
                return each
        raise store.NoSuchRecord(move)


def overview(way: WayBack, key: str, photos: Mapping[str, Sequence[str]]) -> Overview:
    """Every move under how it stands; a check that nothing still off waits for does not count."""
    trade = load()
    by_state: dict[str, list[Standing]] = {"open": [], "held": [], "made": [], "never off": []}
    for each in way.moves:
        by_state[each.state].append(each)
    wanted = {hold.about for each in by_state["held"] for hold in each.holds if hold.kind == "check"}
    screens: dict[str, tuple[Screen, ...]] = {
        state: tuple(
            screen_of(each, key, trade, photos.get(photo_of(each.move.step or ""), ()))
            for each in found
            if state == "made" or each.move.id not in CHECK_MOVES or each.move.id in wanted
        )
        for state, found in by_state.items()
        if state != "never off"
    }
    never = sum(each.move.doing == "back" for each in by_state["never off"])
    return Overview(screens["open"], screens["held"], screens["made"], never)


def screen_of(standing: Standing, key: str, trade: Trade, photos: Sequence[str]) -> Screen:
    """A move as its screen shows it."""
    move = standing.move
    return Screen(
        standing,
        reverse(STEP, args=[key, move.id]),
        in_the_way(standing.holds, key),
        [bolt_of(each, number) for number, each in enumerate(standing.torques, 1)],
        [trade.cautions[each].text for each in move.cautions],
        photos,
        uuid4().hex,
    )


def bolt_of(torque: Torque, number: int) -> Bolt:
    """A bolt in words: every torque in both units."""
    figure = units.torque(torque.newton_metres) if torque.newton_metres is not None else ""
    set_to = units.torque(torque.tightened.newton_metres) if torque.tightened else ""
    return Bolt(torque, number, figure, set_to, figure.partition(" (")[0])


def after(move: str, way: WayBack) -> str | None:
    """The move to make after this one: the next that can be made now, in its order, else the first that can."""
    ids = [each.move.id for each in way.moves]
    can = [each.move.id for each in way.moves if each.state == "open" and each.move.id != move]
    here = ids.index(move) if move in ids else -1
    return next((each for each in can if ids.index(each) > here), can[0] if can else None)


def ending(result: Mapping[str, Any], way: WayBack) -> planning.Ending:
    """What keeps the job open, and its test sheet."""
    return planning.ending(dict(result), way)


def open_snags(job: Job) -> list[Snag]:
    """Snags that are not put right yet."""
    return [each for each in job.events if isinstance(each, Snag) and each.state == "open"]


def line_of(hold: Hold) -> str:
    """A hold in a line, with until when."""
    told = problem(hold)
    return f"{told.where} {told.what} {told.way_out}".rstrip()


def words() -> dict[str, str]:
    """What the script says."""
    return {
        "waiting": _("{count} waiting"),
        "sending": _("sending"),
        "away": _("no connection, {count} waiting"),
        "locked": _("{count} waiting: reload the page to send them"),
        "refused": _("could not be kept:"),
        "full": _("this browser has no room to keep it. Wait until what waits is sent, then say it again."),
        "undo_waiting": _("what waits last"),
        "row_waits": _("waiting"),
        "photo_waits": _("Photo, waiting to be sent"),
    }

"""Vapour from a tin in a room: how much is in the air while a coat is put on and dries, and what it takes to clear it.

The room is taken as well mixed with only a part of its air flow at work, flow ÷ mixing: V · dC/dt = G − (Q ÷ K) · C,
G even over the time in which everything evaporates. Volumes are m³ of room and L of liquid or vapour, times hours,
concentrations ppm by volume; one vapour L in one m³ is 1000 ppm. Near the brush, in footwells and under a seat it is
denser than this: limits are what the room is held against, not the breath.
Sources: the balance of a mixed room as industrial hygiene texts have it (ACGIH Industrial Ventilation, dilution
chapter); mixtures by 29 CFR 1910.1000(d)(2)(i).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import exp, expm1, log
from typing import Literal

from trimwright.craft.answer import Against
from trimwright.craft.gas import GAS_CONSTANT, KELVIN
from trimwright.errors import BadInput, Problem
from trimwright.facts.workbench import Limit, LimitKind, Solvent
from trimwright.worked import Factor, Term, Worked, plain

Mask = Literal["none", "filter", "air-fed"]
MOST_LEL = 10.0
"""Of the lower explosive limit [%], what vapour is kept under in solvent work. Source: WAC 296-304-03009."""
_HARDLY_ANY = 1e-5
"""So few air changes that the integral is told by its first term; the whole of it would be rounded away."""
_STILL = 1e-12
"""Fewer air changes an hour are none."""
SHIFT_H = 8.0
SHORT_H = 0.25
BALANCE = "well-mixed room"
ADDED_UP = "29 CFR 1910.1000(d)(2)(i): shares of the limits add up"


@dataclass(frozen=True, slots=True)
class Poured:
    """So many litres of a solvent that will evaporate."""

    solvent: Solvent
    litres: float


@dataclass(frozen=True, slots=True)
class Room:
    """Where it evaporates: volume [m³], air flow [m³/h], mixing (1 = at once and everywhere, 10 = hardly)."""

    volume_m3: float
    flow_m3_h: float
    mixing: float = 1.0

    @property
    def changes_per_h(self) -> float:
        """Air changes an hour that count."""
        return self.flow_m3_h / self.mixing / self.volume_m3


@dataclass(frozen=True, slots=True)
class OneVapour:
    """One solvent's share: its vapour [L], its highest concentration [ppm], 15 min and 8 h means [ppm]."""

    solvent: Solvent
    vapour: Worked
    peak: Worked
    short_mean: Worked
    shift_mean: Worked


@dataclass(frozen=True, slots=True)
class Fumes:
    """What the air of the room holds, against its limits; concentrations over time by `ppm_at`."""

    room: Room
    dries_h: float
    vapours: tuple[OneVapour, ...]
    explosive: Worked
    """The highest share of the lower explosive limit [%], all vapours together."""
    limits: tuple[Against, ...]
    fire_flow: Worked
    """Air flow that keeps it below `MOST_LEL` [m³/h]."""
    health_flow: Worked | None
    """Air flow that keeps it below the lowest 8 h limits [m³/h]; None where no solvent has one."""
    wait: Worked | None
    """From when it has dried until the room is below the lowest 8 h limits and `MOST_LEL` [min]; None without air
    flow."""

    def ppm_at(self, hours: float) -> float:
        """All vapours together [ppm] so many hours after the start."""
        left = _left(self.room.changes_per_h, self.dries_h)(hours)
        return sum(each.vapour.value for each in self.vapours) / self.room.volume_m3 * 1000 * left

    def as_total(self, ppm_of: Callable[[Solvent], float | None]) -> float | None:
        """A limit of single solvents as one of the mixture [ppm of all]; None where none has it."""
        share = self._share(ppm_of)
        total = sum(each.vapour.value for each in self.vapours)
        return total / share if share else None

    def _share(self, ppm_of: Callable[[Solvent], float | None]) -> float:
        limits = ((each.vapour.value, ppm_of(each.solvent)) for each in self.vapours)
        return sum(vapour / limit for vapour, limit in limits if limit)


def molar_volume_l(at_c: float = 20.0) -> float:
    """Litres of vapour from a mole at 101.325 kPa.

    >>> round(molar_volume_l(20), 3), round(molar_volume_l(25), 2)
    (24.055, 24.47)
    """
    return GAS_CONSTANT * (KELVIN + at_c) / 101.325


def vapour_l(poured: Poured, at_c: float = 20.0) -> Worked:
    """Litres of vapour from what is poured."""
    solvent = poured.solvent
    factors = (
        Factor(solvent.density * 1000, "g/L"),
        Factor(poured.litres, f"L of {solvent.name}"),
        Factor(solvent.molar_mass, "g/mol", divides=True),
    )
    return Worked("L", (Term(round(molar_volume_l(at_c), 3), "L/mol", factors),), "ideal gas")


def fumes(poured: Sequence[Poured], room: Room, dries_h: float, *, at_c: float = 20.0) -> Fumes:
    """The air of `room` while what is poured evaporates evenly over `dries_h` hours; BadInput with every slip.

    >>> from trimwright.facts.workbench import load_workbench
    >>> acetone = load_workbench().solvents["acetone"]
    >>> found = fumes([Poured(acetone, 0.1)], Room(3, 3, mixing=3), 0.25)
    >>> round(found.vapours[0].peak.value), round(found.explosive.value)
    (10469, 42)
    """
    _refuse(poured, room, dries_h)
    vapours = tuple(_one(each, room, dries_h, at_c) for each in poured if each.litres)
    explosive = Worked(
        "% of LEL",
        tuple(_of_lel(each) for each in vapours),
        f"shares of the lower explosive limits add up (Le Chatelier); limits by {_lel_sources(vapours)}",
    )
    return Fumes(
        room=room,
        dries_h=dries_h,
        vapours=vapours,
        explosive=explosive,
        limits=(
            Against("of the lower explosive limit", explosive, MOST_LEL, "%", "WAC 296-304-03009"),
            *_exposures(vapours),
        ),
        fire_flow=_flow(vapours, room, dries_h, lambda each: each.lel * 1e4 * MOST_LEL / 100, "WAC 296-304-03009"),
        health_flow=_flow(vapours, room, dries_h, _shift_ppm, _years(vapours)) if _has_shift(vapours) else None,
        wait=_wait(vapours, room, explosive),
    )


# ---- one vapour ------------------------------------------------------------------------------------------------------


def _one(poured: Poured, room: Room, dries_h: float, at_c: float) -> OneVapour:
    vapour = vapour_l(poured, at_c)
    rate = room.changes_per_h
    left = _left(rate, dries_h)

    def ppm(share: float, told: str) -> Worked:
        factors = (
            Factor(room.volume_m3, "m³", divides=True),
            Factor(1000, "ppm per L/m³"),
            Factor(share, told),
        )
        return Worked("ppm", (Term(vapour.value, f"L of {poured.solvent.name}", factors),), BALANCE)

    changes = rate * dries_h
    at_the_end = f"still there when it has dried, (1 − e^−a) ÷ a with a = {plain(changes)} air changes"
    return OneVapour(
        solvent=poured.solvent,
        vapour=vapour,
        peak=ppm(left(dries_h), at_the_end if changes else "still there, without air flow"),
        short_mean=ppm(_worst_mean(rate, dries_h, SHORT_H), "of it there in the worst 15 min"),
        shift_mean=ppm(_mean(rate, dries_h, 0, SHIFT_H), "of it there over 8 h in the room"),
    )


def _left(rate: float, dries_h: float) -> Callable[[float], float]:
    """The share of all vapour that is in the air at a time [h], at so many air changes an hour."""

    def share(hours: float) -> float:
        if hours <= 0:
            return 0.0
        given = min(hours, dries_h)
        there = -expm1(-rate * given) / (rate * dries_h) if rate > _STILL else given / dries_h
        return there * exp(-rate * max(0.0, hours - dries_h))

    return share


def _area_under(rate: float, dries_h: float, hours: float) -> float:
    """The integral of `_left` from the start [h]."""
    given, after = min(hours, dries_h), max(0.0, hours - dries_h)
    if rate * given < _HARDLY_ANY:
        rising = given**2 / 2 / dries_h
    else:
        rising = (given + expm1(-rate * given) / rate) / (rate * dries_h)
    falling = -expm1(-rate * after) / rate if rate > _STILL else after
    return rising + _left(rate, dries_h)(dries_h) * falling


def _mean(rate: float, dries_h: float, start: float, end: float) -> float:
    return (_area_under(rate, dries_h, end) - _area_under(rate, dries_h, start)) / (end - start)


def _worst_mean(rate: float, dries_h: float, span: float) -> float:
    """The highest mean over a span: its window lies about the end of drying."""
    starts = (max(0.0, dries_h - span * step / 50) for step in range(51))
    return max(_mean(rate, dries_h, start, start + span) for start in starts)


# ---- against limits --------------------------------------------------------------------------------------------------


def _of_lel(each: OneVapour) -> Term:
    return Term(
        each.peak.value,
        f"ppm {each.solvent.name}",
        (Factor(each.solvent.lel * 1e4, "ppm LEL", divides=True), Factor(100, "%")),
    )


def _lel_sources(vapours: tuple[OneVapour, ...]) -> str:
    """The sources of the limits by their ids, as docs/sources.md has them."""
    return ", ".join(sorted({each.solvent.evidence["LEL"].source for each in vapours}))


AT_ONCE_DANGEROUS = "of what is at once dangerous to life (IDLH)"


def _exposures(vapours: tuple[OneVapour, ...]) -> tuple[Against, ...]:
    """Shares of the exposure limits of each kind, all vapours together; nothing for a kind that no solvent has."""
    kinds: tuple[tuple[LimitKind, str, Callable[[OneVapour], Worked]], ...] = (
        ("at once dangerous", AT_ONCE_DANGEROUS, lambda each: each.peak),
        ("ceiling", "of the ceilings", lambda each: each.peak),
        ("15 min mean", "of the 15 min limits", lambda each: each.short_mean),
        ("8 h mean", "of the 8 h limits", lambda each: each.shift_mean),
    )
    found = []
    for kind, name, figure in kinds:
        held = [(each, limit) for each in vapours if (limit := each.solvent.strictest(kind))]
        if held:
            terms = tuple(
                Term(
                    figure(each).value,
                    f"ppm {each.solvent.name}",
                    (Factor(limit.ppm, f"ppm {limit.told}", divides=True), Factor(100, "%")),
                )
                for each, limit in held
            )
            found.append(Against(name, Worked("%", terms, ADDED_UP), 100.0, "%", _sources(limit for _, limit in held)))
    return tuple(found)


def _sources(limits: Iterable[Limit]) -> str:
    """Whose limits they are, and of which years."""
    return ", ".join(sorted({f"{each.body} {each.year}" for each in limits}))


def _shift_ppm(solvent: Solvent) -> float | None:
    limit = solvent.strictest("8 h mean")
    return limit.ppm if limit else None


def _has_shift(vapours: tuple[OneVapour, ...]) -> bool:
    return any(_shift_ppm(each.solvent) for each in vapours)


def _years(vapours: tuple[OneVapour, ...]) -> str:
    return _sources(limit for each in vapours if (limit := each.solvent.strictest("8 h mean")))


# ---- air flow and wait -----------------------------------------------------------------------------------------------


def _flow(
    vapours: tuple[OneVapour, ...],
    room: Room,
    dries_h: float,
    ppm_of: Callable[[Solvent], float | None],
    source: str,
) -> Worked:
    """Air flow at which the level settles at the limit while it dries: K · G ÷ limit, summed over the vapours."""
    terms = tuple(
        Term(
            each.vapour.value,
            f"L of {each.solvent.name}",
            (
                Factor(dries_h, "h", divides=True),
                Factor(1000, "ppm per L/m³"),
                Factor(ppm, "ppm", divides=True),
                Factor(room.mixing, "mixing"),
            ),
        )
        for each in vapours
        if (ppm := ppm_of(each.solvent))
    )
    return Worked("m³/h", terms, f"ACGIH dilution, steady level; {source}")


def _wait(vapours: tuple[OneVapour, ...], room: Room, explosive: Worked) -> Worked | None:
    """C falls by e with every air change that counts: t = V · K ÷ Q · ln(peak ÷ limit)."""
    if not room.flow_m3_h:
        return None
    exposed = sum(each.peak.value / ppm for each in vapours if (ppm := _shift_ppm(each.solvent)))
    times = max(exposed, explosive.value / MOST_LEL)
    told = f"ln({plain(times)} times the limit)" if times > 1 else "below the limits already"
    factors = (
        Factor(room.mixing, "mixing"),
        Factor(room.flow_m3_h, "m³/h", divides=True),
        Factor(60, "min/h"),
        Factor(log(times) if times > 1 else 0.0, told),
    )
    return Worked("min", (Term(room.volume_m3, "m³", factors),), BALANCE)


# ---- what is refused -------------------------------------------------------------------------------------------------


def refused_isocyanate(*, extracted: bool, mask: Mask) -> str:
    """Why isocyanate may not be sprayed so; nothing where a booth or extracted room and an air-fed mask are there.

    >>> refused_isocyanate(extracted=True, mask="air-fed")
    ''
    >>> refused_isocyanate(extracted=True, mask="filter").partition(":")[0]
    'Not with a filter mask'
    """
    why = []
    if not extracted:
        why.append("Not in an ordinary room or a car: isocyanate mist asks for a booth, or a room built for spraying.")
    if mask == "filter":
        why.append("Not with a filter mask: it doesn't hold isocyanate back, whatever its filters; air-fed only.")
    elif mask == "none":
        why.append("Not without an air-fed mask.")
    return " ".join(why)


def _refuse(poured: Sequence[Poured], room: Room, dries_h: float) -> None:
    checks = (
        ("tin", f"{sum(each.litres for each in poured):g} L", all(each.litres >= 0 for each in poured)
         and any(each.litres > 0 for each in poured), "holds nothing that evaporates.", "Give litres above 0."),
        ("room", f"{room.volume_m3:g} m³", room.volume_m3 > 0, "is no room.", "Give length × width × height in m³."),
        ("air flow", f"{room.flow_m3_h:g} m³/h", room.flow_m3_h >= 0, "is less than nothing.", "Give 0 for still air."),
        ("mixing", f"{room.mixing:g}", 1 <= room.mixing <= 10, "is no mixing factor.", "Give 1 (well) to 10 (badly)."),
        ("drying", f"{dries_h:g} h", dries_h > 0, "is no time to dry in.", "Give the time until it is dry to touch."),
    )  # fmt: skip
    problems = [Problem(where, value, what, way_out) for where, value, fine, what, way_out in checks if not fine]
    if problems:
        raise BadInput(problems)

"""The air the work is made in: what it does to a wait, and what it has to be brought to before a coat.

Humidity is in per cent here, as it is read off; waits become whole minutes, the likely one rounded up, a window down.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor

from trimwright.craft.air import LEAST_MARGIN_K, dew_point_c
from trimwright.craft.cure import SHEET_C, SHEET_HUMIDITY, moved, ten_degrees
from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import NeedsAir, Treatment, Wait
from trimwright.job import events
from trimwright.job.document import Job
from trimwright.plan.calendar.tasks import Air, Limits, Minutes

SHEET_AIR = Air(SHEET_C, SHEET_HUMIDITY * 100)
"""The air that the trade's waits are for; taken where nobody has looked."""
FINE = 30
"""Waits shorter than this are planned to the minute [min]."""
GRID = 5
"""Longer ones to so many minutes."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """The waits after one piece of work as one, in whole minutes."""

    minutes: Minutes
    closes: int | None
    why: str
    cures: bool
    place: str
    """Where the piece lies meanwhile; empty = nowhere."""


NOTHING = Waiting((0, 0, 0), None, "", False, "")


def air_of(job: Job) -> Air:
    """The air of the shop as it was read last."""
    read = [each for each in job.events if isinstance(each, events.Air)]
    return Air(read[-1].temperature, read[-1].humidity) if read else SHEET_AIR


def air_one_works_in(air: Air) -> Air:
    """The air, where the rules for waits hold in it; BadInput otherwise, once."""
    ten_degrees(SHEET_C, air.temperature)
    if not 0 < air.humidity <= 100:
        what = "is not above 0 and up to 100 %."
        raise BadInput(Problem("humidity", f"{air.humidity:g} %", what, "Read the hygrometer again."))
    return air


def waiting(waits: Iterable[Wait], air: Air, where: str) -> Waiting:
    """All waits after a piece, one behind the other, in this air; BadInput where its window is shut before it opens."""
    waits = tuple(waits)
    if not waits:
        return NOTHING
    each_moved = [
        moved(each.hours, air.temperature, air.humidity / 100, warmth=each.warmth, damp=each.damp, closes=each.closes)
        for each in waits
    ]
    low, likely, high = (sum(each.wait[at] for each in each_moved) * 60 for at in range(3))
    minutes = (rounded_up(low), rounded_up(likely), rounded_up(high))
    closes = each_moved[0].closes if len(waits) == 1 else None
    latest = None if closes is None else rounded_down(closes * 60)
    if latest is not None and latest < minutes[1]:
        what = f"is over after {latest} min, and before {minutes[1]} min nobody may go on."
        raise BadInput(Problem(where, waits[0].name, what, "Warm the shop, or dry its air."))
    return Waiting(
        minutes=minutes,
        closes=latest,
        why=waits[-1].name,
        cures=any(each.warmth or each.damp for each in waits),
        place=next((each.place for each in reversed(waits) if each.place not in ("car", "away")), ""),
    )


def rounded_up(minutes: float) -> int:
    """To the minute, longer ones to the grid.

    >>> rounded_up(14.2), rounded_up(61)
    (15, 65)
    """
    minutes = round(minutes, 6)
    return ceil(minutes) if minutes < FINE else GRID * ceil(minutes / GRID)


def rounded_down(minutes: float) -> int:
    """The same, down.

    >>> rounded_down(14.2), rounded_down(64)
    (14, 60)
    """
    minutes = round(minutes, 6)
    return floor(minutes) if minutes < FINE else GRID * floor(minutes / GRID)


# ---- before a coat ---------------------------------------------------------------------------------------------------


def limits_of(treatment: Treatment, needs: NeedsAir | None) -> Limits:
    """The air a piece of this treatment may be made in."""
    if needs is None:
        return Limits()
    return Limits(treatment.temp_min_c, treatment.temp_best_c, treatment.rh_max_pct, needs == "dew")


def breaks(limits: Limits, air: Air) -> list[str]:
    """Which of the limits this air breaks, in words; the surface is taken to be as warm as the air."""
    told = []
    if limits.least_c is not None and air.temperature < limits.least_c:
        told.append(f"not under {limits.least_c:g} °C")
    if limits.most_rh is not None and air.humidity > limits.most_rh:
        told.append(f"air not damper than {limits.most_rh:g} %")
    if limits.dew_margin and air.temperature - dew_point_c(air.temperature, air.humidity / 100) < LEAST_MARGIN_K:
        told.append(f"surface {LEAST_MARGIN_K:g} °C above the dew point")
    return told


def made_right(limits: Limits, air: Air) -> Air | None:
    """The nearest air that keeps the limits: warmed first, then dried; None where it keeps them as it is."""
    if not breaks(limits, air):
        return None
    warm = max(air.temperature, limits.least_c if limits.least_c is not None else air.temperature)
    damp = min(air.humidity, humidity_when_warmed(air, warm))  # rounded to whole, it may come out above
    if limits.most_rh is not None:
        damp = min(damp, limits.most_rh)
    while damp > 1 and breaks(limits, Air(warm, damp)):
        damp -= 1
    return Air(warm, damp)


def humidity_when_warmed(air: Air, to_c: float) -> float:
    """The relative humidity [%] of the same water in warmer air, whole.

    >>> humidity_when_warmed(Air(10, 80), 20)
    42.0
    """
    if to_c == air.temperature:
        return air.humidity
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)
    water = psychrolib.GetVapPresFromRelHum(air.temperature, air.humidity / 100)
    return float(round(psychrolib.GetRelHumFromVapPres(to_c, water) * 100))

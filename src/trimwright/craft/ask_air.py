"""The questions of air: a surface before a coat, and the vapour of a tin in a room.

No answer says that a thing is safe; each says what it is below or above, and whose limit that is.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import cast

from trimwright import units
from trimwright.craft.air import HYGROMETER, LEAST_MARGIN_K, MOST_HUMIDITY, before_a_coat
from trimwright.craft.answer import Against, Answer, Named, shown
from trimwright.craft.asking import Ask, Question, Typed, a_time, litres
from trimwright.craft.cure import SHEET_C, cure_time
from trimwright.craft.vapour import (
    AT_ONCE_DANGEROUS,
    MOST_LEL,
    Fumes,
    Mask,
    Poured,
    Room,
    fumes,
    refused_isocyanate,
)
from trimwright.errors import BadInput, Problem
from trimwright.facts.workbench import Coat, Place, Solvent, load_workbench
from trimwright.worked import Term, Worked, rounded_up

DEFERS = (
    "A computed figure, and no more: the data sheet, the label and your local rules go before it, "
    "and nothing here says that the air is safe."
)
HSE_CLEARANCE = (
    "The visor stays down until the air is clear: a booth takes more than 1 min, a room with extraction up to "
    "30 min (UK HSE, 2023); measure yours."
)
ISOCYANATE_LIMIT = (
    "No figure here is for the isocyanate: of HDI, NIOSH allows 0.005 ppm over 8 h and 0.02 ppm at most (2005), far "
    "less than anybody can smell."
)

HARDENERS = "A hardener or crosslinker that is stirred in may be an isocyanate: its label says; then say so here too."

# ---- before a coat ---------------------------------------------------------------------------------------------------


def _coat(typed: Mapping[str, str]) -> Answer:
    lines = Typed(COAT.asks, typed)
    air = lines.need("air", units.parse_temperature, 20.0)
    humidity = lines.need("humidity", units.parse_share, 0.5)
    surface = lines.need("surface", units.parse_temperature, 20.0)
    margin = lines.take("margin", _kelvin, LEAST_MARGIN_K)
    most = lines.take("most", units.parse_share, MOST_HUMIDITY)
    coldest = lines.take("coldest", units.parse_temperature, None)
    dries = lines.take("dries", a_time, 0.0)
    found = lines.answered(
        lambda: before_a_coat(air, humidity, surface, least_margin_k=margin, most_humidity=most),
    )
    figures = [
        Named("dew point", found.dew_point),
        Named("surface above it", found.margin),
        Named("coldest surface for a coat", found.least_surface),
        Named(f"margin if the hygrometer reads {HYGROMETER:.0%} too low", found.margin_if_damper),
        Named("water in the air", found.water),
    ]
    if dries:
        figures.append(Named("drying time at this warmth", cure_time(dries, SHEET_C, air, "min")))
    notes = ["Measure the surface itself, with a contact thermometer: sheet and glass are colder than the air."]
    if dries and humidity > 0.5:
        notes.append("Water-borne coats dry slower still in damp air.")
    limits = found.limits
    if lines.has("most"):
        limits = (*limits[:-1], replace(limits[-1], source="the data sheet, as given"))
    if coldest is not None:
        warmth = Worked("°C", (Term(air, "°C"),), "as read")
        limits = (
            *limits,
            Against("warmth of the air", warmth, coldest, "°C", "the data sheet, as given", at_most=False),
        )
    if found.holds and found.margin_if_damper.value < margin:
        notes.append(f"A hygrometer that reads {HYGROMETER:.0%} too low would hide that the margin is too small.")
    notes.append("The data sheet's own margin, humidity and warmth go before these.")
    failed = [f"{each.name} {each.told}" for each in limits if not each.holds]
    if failed:
        told = f"No coat now: {'; '.join(failed)}."
    else:
        told = (
            f"The surface is {shown(found.margin.value, 'K')} above the dew point; {shown(margin, 'K')} are asked for."
        )
    return Answer(told, tuple(figures), limits, notes=tuple(notes), engine=found)


def _kelvin(text: str, where: str) -> float:
    found = re.fullmatch(r"([\d.,]+)\s*(k|°?c|°?f)?", text.strip().lower())
    if found is None:
        raise BadInput(Problem(where, text, "is no difference of temperature.", "Write 3 K, or 5 F."))
    value = float(units.parse_number(found[1], where))
    value = value * 5 / 9 if found[2] and found[2].endswith("f") else value
    if not 0 <= value <= 20:
        raise BadInput(Problem(where, text, "is not between 0 and 20 K.", "Write 3 K, or 5 F."))
    return value


# ---- a tin in a room -------------------------------------------------------------------------------------------------


def _tin(typed: Mapping[str, str]) -> Answer:
    lines = Typed(TIN.asks, typed)
    bench = load_workbench()
    coat = bench.coats.get(lines.choice("tin"))
    place = bench.places.get(lines.choice("place"), bench.places["garage"])
    poured = _poured(lines, coat)
    room = _room(lines, place)
    dries = lines.take("dries", a_time, float(coat.dries_min) if coat else 0.0)
    if not dries and not lines.has("dries"):
        lines.slip("dries", "is missing.", "Write how long it takes to dry, such as 20 min.")
    air = lines.take("air", units.parse_temperature, 20.0)
    mask = cast("Mask", lines.choice("mask") or "none")
    told_isocyanate = lines.choice("isocyanate")
    isocyanate = told_isocyanate == "yes" or bool(coat and coat.isocyanate)
    found = lines.answered(lambda: fumes(poured, room, dries / 60, at_c=air))
    refused = refused_isocyanate(extracted=_extracted(place, room), mask=mask) if isocyanate else ""
    own_room = lines.has("room") or lines.has("flow")
    where = f"a room of {shown(room.volume_m3, 'm³')}" if own_room else place.name
    together, single = _vapour_figures(found)
    known = bool(told_isocyanate or coat)
    notes = [*_notes(found, coat, mask=mask), DEFERS]
    if isocyanate:
        notes[:0] = [ISOCYANATE_LIMIT, HSE_CLEARANCE]
    elif not told_isocyanate:
        notes.insert(0, HARDENERS)
    if refused:
        return Answer(
            told="Refused: " + refused,
            figures=(*together, *single),
            limits=tuple(each for each in found.limits[:1] if not each.holds),
            notes=tuple(notes),
            cautions=("isocyanate", "solvent"),
            refused=refused,
            engine=found,
        )
    return Answer(
        told=_tin_told(found, where) + _of_isocyanate(isocyanate, known),
        figures=(*together, *_remedies(found), *single),
        limits=found.limits,
        steps=_steps(found),
        notes=tuple(notes),
        cautions=("isocyanate", "solvent") if isocyanate else ("solvent",),
        engine=found,
    )


def _poured(lines: Typed, coat: Coat | None) -> tuple[Poured, ...]:
    """What evaporates: shares of the data sheet, or those remembered of the tin, times the amount."""
    solvents = load_workbench().solvents
    nothing: tuple[tuple[str, float], ...] = ()
    if lines.has("solvents"):
        shares = lines.take("solvents", _shares, nothing)
    elif coat is not None:
        shares = coat.solvents
    else:
        lines.slip("tin", "is missing, and so are the solvents.", "Choose a tin, or write what the data sheet says.")
        shares = nothing
    amount = lines.take("amount", litres, coat.litres_a_unit if coat else 0.0)
    if coat is None and not lines.has("amount"):
        lines.slip("amount", "is missing.", "Write 0.4 L.")
    return tuple(Poured(solvents[name], share * amount) for name, share in shares)


def _shares(text: str, where: str) -> tuple[tuple[str, float], ...]:
    """Solvents with their shares of the volume, each named once; BadInput with every slip."""
    solvents = load_workbench().solvents
    problems: list[Problem] = []
    found: dict[str, float] = {}
    for entry in re.split(r"[,;]\s*(?=[A-Za-z])", text):
        named = re.fullmatch(r"(.+?)\s+([\d.,]+\s*%?)", entry.strip())
        name = named[1].lower() if named else ""
        known = next((each.id for each in solvents.values() if name in (each.id, each.name.lower())), "")
        if named is None or not known or known in found:
            what = "is named twice." if known in found else "is no solvent with its share."
            way_out = f"Write such as acetone 40 %; known are {', '.join(solvents)}."
            problems.append(Problem(where, entry.strip(), what, way_out))
            continue
        try:
            found[known] = units.parse_share(named[2], where)
        except BadInput as error:
            problems += error.problems
    if not problems and sum(found.values()) > 1.0001:
        what = f"come to {sum(found.values()):.0%} of the tin."
        problems.append(Problem(where, text, what, "Write shares of the volume, 100 % at most."))
    if problems:
        raise BadInput(problems)
    return tuple(found.items())


def _room(lines: Typed, place: Place) -> Room:
    volume = lines.take("room", _volume, place.volume_m3)
    flow = lines.take("flow", lambda text, where: _flow(text, where, volume), place.changes_per_h * volume)
    mixing = lines.take("mixing", _mixing, place.mixing)
    return Room(volume, flow, mixing)


def _extracted(place: Place, room: Room) -> bool:
    """Whether it is a place for spraying by its air too: a booth whose fan does half its work is an ordinary room."""
    return place.extracted and room.flow_m3_h >= place.changes_per_h / 2 * room.volume_m3


def _volume(text: str, where: str) -> float:
    return units.parse_measure(text, where, "m3", least=0, most=100_000, example="50 m3, or 1,800 cu ft")


def _flow(text: str, where: str, volume_m3: float) -> float:
    """Air flow [m³/h], told as such or in air changes an hour; 0 is still air."""
    bare = text.strip().lower()
    if bare in ("0", "none"):
        return 0.0
    changes = re.fullmatch(r"([\d.,]+)\s*(?:/\s*h|ach|changes?(?: an hour|/h)?)", bare)
    if changes:
        return float(units.parse_number(changes[1], where)) * volume_m3
    return units.parse_measure(
        text, where, "m3/h", least=0, most=1e6, example="300 m3/h, 180 cfm, or 6 /h; 0 is still air"
    )


def _mixing(text: str, where: str) -> float:
    value = float(units.parse_number(text, where))
    if not 1 <= value <= 10:
        raise BadInput(Problem(where, text, "is not from 1 to 10.", "1 is well mixed, 10 hardly at all."))
    return value


def _vapour_figures(found: Fumes) -> tuple[tuple[Named, ...], tuple[Named, ...]]:
    """All vapours together, and each by itself."""
    peaks = tuple(Term(each.peak.value, f"ppm {each.solvent.name}") for each in found.vapours)
    total = Named("highest, all vapours together", Worked("ppm", peaks, "well-mixed room"))
    single = [
        named
        for each in found.vapours
        for named in (
            Named(f"vapour of {each.solvent.name}", each.vapour),
            Named(f"highest of {each.solvent.name}", each.peak),
        )
    ]
    return (total, Named("of the lower explosive limit", found.explosive)), tuple(single)


def _remedies(found: Fumes) -> tuple[Named, ...]:
    figures = [Named(f"air flow that keeps it below {MOST_LEL:g} % of the LEL", found.fire_flow)]
    if found.health_flow:
        figures.append(Named("air flow that keeps it below the 8 h limits", found.health_flow))
    if found.wait:
        figures.append(Named("wait after it has dried, until below both", found.wait))
    return tuple(figures)


def _tin_told(found: Fumes, where: str) -> str:
    passed = [each for each in found.limits if not each.holds]
    total = sum(each.peak.value for each in found.vapours)
    there = f"{where}: at most {shown(total, 'ppm')} in the air"
    if found.explosive.value >= 100:
        return (
            f"{there}, past the lower explosive limit: a spark sets it off. Not here; outdoors, or with far more air."
        )
    if not passed:
        return f"{there}, below the limits shown, each of its year."
    worst = max(passed, key=lambda each: each.found.value / each.limit)
    return f"{there}. {shown(worst.found.value, '%')} {worst.name}: above the limit of {shown(worst.limit, '%')}."


NO_FILTER = "Not with a filter mask: air at once dangerous to life asks for air brought in from outside it."
"""29 CFR 1910.134(d)(2), from memory."""


def _steps(found: Fumes) -> tuple[str, ...]:
    steps = [NO_FILTER] if any(each.name == AT_ONCE_DANGEROUS and not each.holds for each in found.limits) else []
    flow = max(each.value for each in (found.fire_flow, found.health_flow) if each)
    if flow > found.room.flow_m3_h:
        told = f"{shown(flow, 'm³/h')} ({shown(float(units.convert(str(round(flow, 3)), 'm3/h', 'cfm')), 'cfm')})"
        steps.append(
            f"To stay below them all the while it is put on and dries: {told} of fresh air, or do it outdoors."
        )
    if found.wait is None:
        steps.append("Without air flow it never clears: open it to the outside.")
    elif found.wait.value > 0:
        steps.append(
            f"Stay out, and keep the air moving, for {units.hours(rounded_up(found.wait.value))} after it has dried."
        )
    return tuple(steps)


def _of_isocyanate(isocyanate: bool, known: bool) -> str:
    if isocyanate:
        return " That is for its solvents alone."
    return "" if known else " Look on the label for isocyanate first: it changes the whole answer."


def _notes(found: Fumes, coat: Coat | None, *, mask: Mask) -> list[str]:
    notes = []
    if coat is not None:
        notes.append(f"What is in {coat.name} is from memory: write in what its data sheet says.")
    over = [each for each in found.vapours if each.peak.value > each.solvent.saturated_ppm]
    notes += [
        f"Air can hold no more than {shown(each.solvent.saturated_ppm, 'ppm')} of {each.solvent.name}: it stays wet, "
        "and goes on giving off vapour when the room is aired."
        for each in over
    ]
    if found.room.mixing > 1:
        notes.append("Near the work, in footwells and low down it is denser than in the middle of the room.")
    if mask == "filter":
        notes.append("A filter mask does nothing against fire, and is spent sooner than one smells it.")
    remembered = [told for each in found.vapours for told in _from_memory(each.solvent)]
    if remembered:
        notes.append(f"From memory, no source read: {', '.join(remembered)}.")
    none = [each.solvent.name for each in found.vapours if not each.solvent.strictest("8 h mean")]
    if none:
        notes.append(f"No 8 h limit is known here for {', '.join(none)}.")
    return notes


def _from_memory(solvent: Solvent) -> tuple[str, ...]:
    """Figures of a solvent that nobody has read in a source."""
    figures = [figure for figure, evidence in solvent.evidence.items() if evidence.level == "guess"]
    limits = [each.told for each in solvent.limits if each.evidence.level == "guess"]
    return (f"{' and '.join([*figures, *limits])} of {solvent.name}",) if figures or limits else ()


# ---- the questions ---------------------------------------------------------------------------------------------------

COAT = Question(
    "air coat",
    "Is the surface dry enough for a coat?",
    (
        Ask("air", "air", "20 C"),
        Ask("humidity", "relative humidity", "60 %"),
        Ask("surface", "surface", "18 C"),
        Ask("margin", "least margin over the dew point", "3", f"{LEAST_MARGIN_K:g}"),
        Ask("most", "most humidity of the data sheet", "85 %", f"{MOST_HUMIDITY * 100:g} %"),
        Ask("coldest", "least warmth of the data sheet", "10 C"),
        Ask("dries", "drying time of the data sheet at 20 °C", "30 min"),
    ),
    _coat,
)
TIN = Question(
    "air tin",
    "What does a tin do to the air of a room?",
    (
        Ask("tin", "tin", "clear_can", known=lambda: tuple(load_workbench().coats)),
        Ask("solvents", "solvents of the data sheet", "acetone 40 %, toluene 20 %"),
        Ask("amount", "amount used", "0.4 L"),
        Ask("place", "place", "garage", "garage", known=lambda: tuple(load_workbench().places)),
        Ask("room", "volume of the room", "50 m3"),
        Ask("flow", "air flow", "300 m3/h, 180 cfm, or 6 /h"),
        Ask("mixing", "mixing, 1 well to 10 badly", "3"),
        Ask("dries", "time until it is dry", "20 min"),
        Ask("air", "air", "20 C", "20 C"),
        Ask("isocyanate", "isocyanate in it", "no", choices=("yes", "no")),
        Ask("mask", "mask", "none", "none", choices=("none", "filter", "air-fed")),
    ),
    _tin,
)

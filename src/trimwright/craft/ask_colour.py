"""The questions of colour: what is to be matched, what to mix for it, and how a swatch lies beside it.

They are made from a shop's palette, and read text alone; a photo becomes text first (`colour.photo`). What is wanted
is what the cabin will look like once it is clean, so the question asks where the reading was taken.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, cast

from trimwright import units
from trimwright.craft.answer import Answer, Named
from trimwright.craft.asking import Ask, Question, Typed
from trimwright.errors import BadInput, Problem
from trimwright.worked import Term, Worked

if TYPE_CHECKING:
    from trimwright.craft.colour.lab import Lab, Reading, White
    from trimwright.craft.colour.mixing import Mixed
    from trimwright.craft.colour.palette import Base, Palette

CLEANED, DIRTY, HIDDEN = "cleaned", "dirty", "hidden"
CIEDE2000 = "CIE 142-2001, CIEDE2000"
A_LITRE_G = 1000.0
"""A litre of a water-thinned colour [g]: common practice, no source."""
FAR_BESIDE_M = 0.1, 20.0


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check laid side by side, and from where it is looked at [m]."""

    target: Reading
    swatch: Reading
    distance_m: float


_TARGET = (
    Ask("target", "the colour wanted, L* a* b*", "38.2 18.1 22.4, or 38.2 18.1 22.4 ± 2.0"),
    Ask("white", "the white the instrument reads by", usual="D65", choices=("D65", "D50")),
    Ask("place", "where it was read", usual=CLEANED, choices=(CLEANED, DIRTY, HIDDEN)),
    Ask("before", "a trial spot before it was cleaned", "35.0 12.0 17.5"),
    Ask("after", "the same spot cleaned and dry", "38.2 12.4 18.9"),
)
_DISTANCE = Ask("distance", "from where it is looked at", "1.5 m", usual="0.5 m")
_MATCH = (*_TARGET, _DISTANCE)
_MIX = (
    *_TARGET,
    Ask("batch", "how much to mix", "0.25 L, or 250 g", usual="0.25 L"),
    Ask("drops", "drops in the trial pot", "100", usual="100"),
    Ask("gloss", "readings with the gloss in them", usual="no", choices=("no", "yes")),
)
_CHECK = (
    *_TARGET,
    Ask("swatch", "how the dried swatch, or the faded piece, reads", "39.0 17.2 21.0"),
    _DISTANCE,
    Ask("apart", "how far the difference may be out, where both were read in one photo", "1.6"),
    Ask("pot", "what is in the trial pot", "white 62, black 12, or the id of a kept mix"),
)


def colour_questions(palette: Palette) -> Mapping[str, Question]:
    """The three questions, asked of this shop's bases and kept mixes."""
    asked: tuple[tuple[str, str, tuple[Ask, ...], Callable[[Typed, Palette], Answer]], ...] = (
        ("colour match", "What is to be matched, and what is there for it", _MATCH, _match),
        ("colour mix", "What to mix", _MIX, _mix),
        ("colour check", "A swatch beside what it should be", _CHECK, _check),
    )
    return MappingProxyType({each[0]: _question(*each, palette) for each in asked})


def _question(
    name: str, title: str, asks: tuple[Ask, ...], answer: Callable[[Typed, Palette], Answer], palette: Palette
) -> Question:
    return Question(name, title, asks, lambda typed: answer(Typed(asks, typed), palette))


# ---- what is wanted --------------------------------------------------------------------------------------------------


def _wanted(lines: Typed) -> tuple[Reading, str]:
    """The colour that the cabin will have once clean, and how it was come by; slips stay with the lines."""
    import numpy as np

    from trimwright.craft.colour.lab import Lab, Reading, lab_of, read_reading

    white = cast("White", lines.choice("white") or "D65")
    nothing = Reading(Lab(50, 0, 0))
    read = lines.need("target", lambda text, where: read_reading(text, where, white), nothing)
    place = lines.choice("place") or CLEANED
    if place == HIDDEN:
        lines.slip(
            "place",
            "is no target: a hidden flap has kept a colour that the rest of the cabin no longer has.",
            "Clean a piece that stays as it is, let it dry, and read that.",
        )
    if place != DIRTY:
        for name in ("before", "after"):
            if lines.has(name):
                lines.slip(name, "goes with a reading of a dirty place.", "Say place dirty, or leave it out.")
        return read, "read where it is clean"
    before = lines.need("before", lambda text, where: read_reading(text, where, white), nothing)
    after = lines.need("after", lambda text, where: read_reading(text, where, white), nothing)
    carried = read.lab.array() + after.lab.array() - before.lab.array()
    spread = float(np.sqrt(read.spread**2 + before.spread**2 + after.spread**2))
    return Reading(lab_of(np.clip(carried, [0, -128, -128], [100, 128, 128])), spread), "carried by the trial spot"


def _metres(text: str, where: str) -> float:
    """A distance to look from."""
    least, most = FAR_BESIDE_M
    return units.parse_measure(text, where, "m", least=least, most=most, example="1.5 m")


def _figure(name: str, value: float, unit: str, source: str) -> Named:
    return Named(name, Worked(unit, (Term(round(value, 2), unit),), source))


def _lab_figures(name: str, lab: Lab) -> tuple[Named, ...]:
    return tuple(
        _figure(f"{name}, {axis}", value, "", "CIELAB, D65, 2°")
        for axis, value in (("L*", lab.lightness), ("a*", lab.a), ("b*", lab.b))
    )


# ---- match -----------------------------------------------------------------------------------------------------------


def _match(lines: Typed, palette: Palette) -> Answer:
    from trimwright.craft.colour.difference import SEEN_SOURCE, apart, seen, way

    target, come_by = _wanted(lines)
    distance = lines.take("distance", _metres, 0.5)
    lines.refuse_slips()
    there = [(f"{mix.name} (kept mix)", mix.swatch or mix.target, mix.swatch is None) for mix in palette.mixes]
    there += [(f"{base.name} (base)", base.tone.lab, False) for base in palette.bases]
    nearest = sorted(there, key=lambda each: apart(each[1], target.lab))[:5]
    figures = [*_lab_figures("wanted", target.lab), _figure("may be out by", target.spread, "ΔE", "19 times in 20")]
    figures += [_figure(name, apart(lab, target.lab), "ΔE", CIEDE2000) for name, lab, _ in nearest]
    told = f"To match: L*a*b* {target}, {come_by}."
    if nearest:
        name, lab, unread = nearest[0]
        off = apart(lab, target.lab)
        told += f" Nearest: {name}, {off:.1f} off ({way(lab, target.lab)}); from {distance:g} m {seen(off, distance)}."
        if unread:
            told += " Its swatch was never read."
    else:
        told += " The book has no base colour and no mix yet."
    return Answer(told, tuple(figures), notes=(*_trust(target), f"What is seen: {SEEN_SOURCE}."), engine=target)


def _trust(target: Reading) -> tuple[str, ...]:
    if target.spread < 1:
        return ("A reading of grained or patchy leather scatters: read five places and take the middle.",)
    return (
        f"The colour wanted may itself be {target.spread:.1f} off: no mix is surely nearer to the part than that.",
        "A swatch held beside the part says more than any figure.",
    )


# ---- mix -------------------------------------------------------------------------------------------------------------


def _grams(text: str, where: str) -> float:
    """Grams of a batch typed by mass or by volume."""
    weighed = re.search(r"(g|oz|lb|lbs)\s*$", text, re.IGNORECASE) is not None and "fl" not in text.lower()
    unit, whole = ("g", A_LITRE_G) if weighed else ("L", 1.0)
    found = units.parse_measure(text, where, unit, least=0, most=20 * whole, example="0.25 L, or 250 g")
    return found * A_LITRE_G / whole


def _drops(text: str, where: str) -> int:
    value = units.parse_number(text, where)
    if value != int(value) or not 20 <= value <= 1000:
        raise BadInput(Problem(where, text, "is not a whole number from 20 to 1000.", "Write 100."))
    return int(value)


def _mix(lines: Typed, palette: Palette) -> Answer:
    target, come_by = _wanted(lines)
    batch = lines.take("batch", _grams, 250.0)
    drops = lines.take("drops", _drops, 100)
    glossy = lines.choice("gloss") == "yes"
    lines.refuse_slips()
    if len(palette.bases) < 2:
        way_out = "Give two or more: trimwright book base BOOK ID L* a* b*."
        raise BadInput(Problem("the shop's base colours", str(len(palette.bases)), "are too few to mix.", way_out))
    from trimwright.craft.colour.mixing import mix

    mixed = mix(target, palette.bases, drops=drops, glossy=glossy)
    return _mixed(mixed, target, come_by, batch)


def _mixed(mixed: Mixed, target: Reading, come_by: str, batch: float) -> Answer:
    from trimwright.craft.colour.difference import seen, way
    from trimwright.craft.colour.mixing import LAMP_WARNING

    told = ", ".join(f"{count} {base.name}" for base, count in mixed.used)
    drops = "whole drops, by Kubelka and Munk"
    figures = [_figure(f"{base.name}, trial pot", count, "drops", drops) for base, count in mixed.used]
    figures += [
        Named(
            f"{base.name}, batch",
            Worked("g", (_share(batch, base, count, mixed.grams),), "drops weighed; g a drop from the book"),
        )
        for base, count in mixed.used
    ]
    figures += [
        *_lab_figures("forecast", mixed.forecast),
        _figure("forecast off the wanted", mixed.delta_e, "ΔE", CIEDE2000),
        _figure("first swatch may lie off the forecast", mixed.spread, "ΔE", f"19 times in 20; {mixed.law}"),
        _figure("off under lamplight (A)", mixed.lamplight, "ΔE", CIEDE2000),
    ]
    notes = list(_trust(target)) if target.spread >= 1 else []
    if mixed.law.endswith("alone"):
        notes.append(
            "Some bases have no trial in white, so their strength is a guess: a coat of 5 to 30 % of each in white, "
            "read and put in the book, is worth more than any instrument."
        )
    if mixed.delta_e > 1:
        notes.append(
            f"These bases do not reach it: the nearest is {way(mixed.forecast, target.lab)}. "
            f"Of that {seen(mixed.delta_e)}; another base is needed."
        )
    if mixed.lamplight > max(LAMP_WARNING, mixed.delta_e + 0.5):
        notes.append(
            f"Metamerism: the two may part by {mixed.lamplight:.1f} under lamplight. Look at the swatch under both."
        )
    notes.append(
        "Under lamplight it is a guess, for what is wanted was read as three figures: it may drift by 2 more. "
        "Dry-down, gloss and a base that bleeds are not forecast."
    )
    steps = (
        f"Trial pot: {told} drops, stirred; mist a swatch on a scrap of the same, dry it as the part will be dried.",
        "Hold it beside the cleaned part in daylight and under a lamp; read it, and ask `colour check` what to add.",
        "Only then weigh the batch, all of it at once, and keep the recipe.",
    )
    return Answer(
        f"{told} drops: forecast {mixed.delta_e:.1f} off what is wanted ({come_by}); "
        f"the first swatch within {mixed.spread:.1f} of that, 19 times in 20.",
        tuple(figures),
        steps=steps,
        notes=tuple(notes),
        cautions=("solvent", "airbag_cover", "belts"),
        engine=mixed,
    )


def _share(batch: float, base: Base, count: int, whole: float) -> Term:
    from trimwright.worked import Factor

    return Term(
        batch,
        "g",
        (Factor(count, "drops"), Factor(base.drop_g, "g a drop"), Factor(whole, "g in the pot", divides=True)),
    )


# ---- check -----------------------------------------------------------------------------------------------------------


def _check(lines: Typed, palette: Palette) -> Answer:
    import numpy as np

    from trimwright.craft.colour.difference import apart, eased, fading, seen, way
    from trimwright.craft.colour.lab import Lab, Reading, read_reading

    target, come_by = _wanted(lines)
    white = cast("White", lines.choice("white") or "D65")
    swatch = lines.need("swatch", lambda text, where: read_reading(text, where, white), Reading(Lab(50, 0, 0)))
    distance = lines.take("distance", _metres, 0.5)
    no_pot: tuple[tuple[str, int], ...] = ()
    own = float(np.hypot(target.spread, swatch.spread))
    spread = lines.take("apart", lambda text, where: float(units.parse_number(text, where)), own)
    pot = lines.take("pot", lambda text, where: _pot(text, where, palette), no_pot)
    lines.refuse_slips()
    off = apart(swatch.lab, target.lab)
    grade = fading(target.lab, swatch.lab)
    told = f"{off:.1f} off (± {spread:.1f}), {way(swatch.lab, target.lab)}: from {distance:g} m {seen(off, distance)}."
    figures = (
        _figure("off", off, "ΔE", CIEDE2000),
        _figure("may be out by", spread, "ΔE", "19 times in 20"),
        _figure("as seen from there", off / eased(distance), "ΔE", "own guess of how distance eases"),
        _figure("off, CIELAB", grade.delta_e76, "ΔE", "CIE 15, CIELAB"),
    )
    notes = [f"Grey scale: grade {grade.grade}, if it is the same piece before and after (ISO 105-A02, by figures)."]
    notes.append(f"What is wanted was {come_by}.")
    steps: tuple[str, ...] = ()
    if pot:
        steps, more = _to_add(target, swatch, off, spread, pot, palette)
        notes += more
    return Answer(told, figures, steps=steps, notes=tuple(notes), engine=Checked(target, swatch, distance))


def _to_add(
    target: Reading, swatch: Reading, off: float, spread: float, pot: tuple[tuple[str, int], ...], palette: Palette
) -> tuple[tuple[str, ...], list[str]]:
    from trimwright.craft.colour.mixing import next_step

    if off <= spread / 2:
        return ("Leave it: it is nearer than the readings can tell. Look at it beside the part.",), []
    held = dict(pot)
    step = next_step(target.lab, swatch.lab, palette.bases, [held.get(each.id, 0) for each in palette.bases])
    if not step.add:
        return ("Leave it: no drop of these bases brings it nearer; another base is needed.",), []
    added = ", ".join(f"{count} {'drop' if count == 1 else 'drops'} {base.name} more" for base, count in step.add)
    said = (
        f"Add {added}: forecast {step.then:.1f} off, from {step.now:.1f}. Half first, stir, dry, look, then the rest."
    )
    total = sum(held.values())
    return (said,), [f"For a pot of {total} drops; of a weighed batch the same share: grams go as drops."]


def _pot(text: str, where: str, palette: Palette) -> tuple[tuple[str, int], ...]:
    """Drops of each base: as typed, or of a kept mix."""
    kept = {mix.id: mix.drops for mix in palette.mixes}
    if text in kept:
        return kept[text]
    known = {base.id for base in palette.bases}
    found: dict[str, int] = {}
    problems = []
    for entry in text.split(","):
        name, _, count = entry.strip().rpartition(" ")
        if name not in known:
            way_out = f"There are: {', '.join(sorted(known)) or 'none yet'}."
            problems.append(Problem(where, entry.strip(), "names no base colour of the book.", way_out))
        elif not count.isascii() or not count.isdigit() or not 0 < int(count) <= 10_000:
            problems.append(Problem(where, entry.strip(), "is no count of drops.", "Write white 62, black 12."))
        else:
            found[name] = found.get(name, 0) + int(count)
    if problems:
        raise BadInput(problems)
    return tuple(found.items())

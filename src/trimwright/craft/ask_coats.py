"""The questions of coats: what to mix and weigh, which film a comb must read, which papers to go through."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import ceil

from trimwright import units
from trimwright.craft.answer import Against, Answer, Named, shown
from trimwright.craft.asking import Ask, Question, Typed, a_time, area_mm2, count, film_um, litres, parts
from trimwright.craft.coating import (
    GUN_L_PER_MIN,
    POURED,
    Share,
    coverage_m2_per_l,
    dry_from_wet_um,
    minutes_to_spray,
    mixed,
    wet_from_dry_um,
)
from trimwright.craft.coating import litres as litres_for
from trimwright.craft.grit import BEFORE_A_RECOAT, MOST_JUMP, Jump, grade_of, grits_between
from trimwright.errors import BadInput, Problem
from trimwright.facts.workbench import Coat, Grit, load_workbench
from trimwright.worked import Factor, Term, Worked

_DATA_SHEET = "The data sheet's own ratio, film and pot life go before these."


# ---- what to mix -----------------------------------------------------------------------------------------------------


def _mix(typed: Mapping[str, str]) -> Answer:
    lines = Typed(MIX.asks, typed)
    coat = load_workbench().coats.get(lines.choice("tin"))
    area = lines.need("area", area_mm2, 1.0)
    film = _of_the_tin(lines, "film", film_um, coat.film_um if coat else None)
    solids = _of_the_tin(lines, "solids", units.parse_share, coat.solids if coat else None)
    transfer = _of_the_tin(lines, "transfer", units.parse_share, coat.transfer if coat else None)
    coats = lines.take("coats", count, 1)
    ratio = lines.take("ratio", parts, parts(coat.ratio, "ratio") if coat and coat.ratio else (1.0,))
    densities = lines.take("densities", parts, _densities(lines, coat, ratio))
    cup = lines.take("cup", litres, 0.0)
    pot = lines.take("pot", a_time, float(coat.pot_life_min or 0) if coat else 0.0)
    flash = lines.take("flash", a_time, 15.0)
    gun = lines.take("gun", _gun, GUN_L_PER_MIN)
    lines.refuse_slips()
    total = litres_for(area, film, solids, transfer, coats)
    mixes = ceil(total.value / cup - 1e-9) if cup else 1
    if pot and _to_spray(total.value, mixes, coats, flash, gun).value > pot:
        mixes = max(mixes, coats)  # a mix a coat: one for all would die in the pot
    each_mix = Worked("L", (Term(total.value, "L", (Factor(mixes, "mixes", divides=True),)),), "the cup at hand")
    shares = mixed(each_mix.value, ratio, densities)
    figures = [
        Named("in all, ready for the gun", total),
        Named("wet film that a comb reads, each coat", wet_from_dry_um(film, solids)),
        *([Named("each mix", each_mix)] if mixes > 1 else []),
        *(named for share, name in zip(shares, POURED, strict=False) for named in _share_figures(share, name)),
    ]
    limits: tuple[Against, ...] = ()
    if pot:
        spraying = _to_spray(total.value, mixes, coats, flash, gun)
        figures.append(Named("time to spray a mix", spraying))
        limits = (Against("time to spray a mix, against the pot life", spraying, pot, "min", "pot life as given"),)
    notes = [_DATA_SHEET]
    if coat is not None:
        notes.insert(0, f"Figures of {coat.name} that were not typed are from memory: its data sheet says them better.")
    if len(ratio) > 1 and not lines.has("densities"):
        notes.append("Weighed with usual densities; write in those of your tins, or measure by volume.")
    told = _mix_told(total.value, mixes, shares)
    if any(not each.holds for each in limits):
        told += " It dies in the pot before it is sprayed: take a smaller cup, or a slower hardener."
    return Answer(
        told,
        tuple(figures),
        limits,
        steps=_weighing(shares, mixes),
        notes=tuple(notes),
        cautions=("isocyanate",) if coat and coat.isocyanate else ("mist", "solvent"),
    )


def _films() -> tuple[str, ...]:
    return tuple(each.id for each in load_workbench().coats.values() if each.solids)


def _of_the_tin(lines: Typed, name: str, read: Callable[[str, str], float], usual: float | None) -> float:
    """A figure as typed, else that of the tin; it must be one of the two."""
    return lines.need(name, read, 1.0) if usual is None else lines.take(name, read, usual)


def _densities(lines: Typed, coat: Coat | None, ratio: tuple[float, ...]) -> tuple[float, ...]:
    if coat and coat.densities and not lines.has("ratio"):
        return parts(coat.densities, "densities")
    return (1.1, 1.03, 0.87, 1.0)[: len(ratio)] if len(ratio) <= 4 else (1.0,) * len(ratio)


def _gun(text: str, where: str) -> float:
    per_hour = units.parse_measure(text, where, "m3/h", least=0, most=0.3, example="0.15 L/min")
    return per_hour * 1000 / 60


def _to_spray(total_l: float, mixes: int, coats: int, flash_min: float, gun_l_per_min: float) -> Worked:
    """How long one of so many mixes stays in the pot."""
    return minutes_to_spray(total_l / mixes, ceil(coats / mixes), flash_min, gun_l_per_min)


def _share_figures(share: Share, name: str) -> tuple[Named, Named]:
    return Named(f"{name}, by volume", share.litres), Named(f"{name}, by weight", share.grams)


def _mix_told(total_l: float, mixes: int, shares: tuple[Share, ...]) -> str:
    told = f"{shown(total_l * 1000, 'mL')} in all"
    if mixes > 1:
        told += f", in {mixes} mixes"
    if len(shares) > 1:
        weighed = ", ".join(
            f"{shown(share.grams.value, 'g')} {name}" for share, name in zip(shares, POURED, strict=False)
        )
        told += f"; {'each ' if mixes > 1 else ''}{weighed}"
    return told + "."


def _weighing(shares: tuple[Share, ...], mixes: int) -> tuple[str, ...]:
    if len(shares) == 1:
        return ()
    poured = [
        f"{name} until the scale reads {share.scale.value:.1f} g" for share, name in zip(shares, POURED, strict=False)
    ]
    told = f"Tare the cup, then pour {'; '.join(poured)}."
    return (told, f"So {mixes} times, each mixed when the one before is sprayed.") if mixes > 1 else (told,)


# ---- films -----------------------------------------------------------------------------------------------------------


def _film(typed: Mapping[str, str]) -> Answer:
    lines = Typed(FILM.asks, typed)
    wet, dry = lines.take("wet", film_um, 0.0), lines.take("dry", film_um, 0.0)
    if lines.has("wet") == lines.has("dry"):
        lines.slip("wet", "and the dry film: one of the two is asked for.", "Write the one you know, such as 80 µm.")
    solids = lines.need("solids", units.parse_share, 1.0)
    thinner = lines.take("thinner", units.parse_share, 0.0)
    transfer = lines.take("transfer", units.parse_share, 1.0)
    lines.refuse_slips()
    found = dry_from_wet_um(wet, solids, thinner) if wet else wet_from_dry_um(dry, solids, thinner)
    dry_film = found.value if wet else dry
    covers = Worked(
        "m²/L",
        (Term(coverage_m2_per_l(solids, dry_film, transfer), f"m²/L of paint at {shown(dry_film, 'µm')} dry"),),
        "paint practice: 1 L at 1 µm covers 1000 m²",
    )
    side = "dry" if wet else "wet"
    mil = float(units.convert(str(round(found.value, 6)), "um", "mil"))
    told = (
        f"{shown(found.value, 'µm')} {side} ({shown(mil, 'mil')}); a litre of paint covers {shown(covers.value, 'm²')}."
    )
    return Answer(told, (Named(f"{side} film", found), Named("coverage", covers)), notes=(_DATA_SHEET,))


# ---- grits -----------------------------------------------------------------------------------------------------------


def _grit(typed: Mapping[str, str]) -> Answer:
    lines = Typed(GRIT.asks, typed)
    grits = load_workbench().grits
    start = lines.need("start", lambda text, where: _grade(text, where, grits), "P80")
    end = lines.take("to", lambda text, where: _grade(text, where, grits), BEFORE_A_RECOAT)
    papers = lines.take("papers", lambda text, where: _papers(text, where, grits), tuple(grits))
    lines.refuse_slips()
    held = {grade: grits[grade] for grade in grits if grade in {*papers, start, end}}
    jumps = grits_between(start, end, held)
    if not jumps:
        told = f"{start} is as fine as {end}, or finer: nothing to do but clean it."
        return Answer(
            told, notes=("CAMI (plain) numbers are other grits: above 220 a P number is about twice as high.",)
        )
    limits = tuple(_jump_limit(each) for each in jumps)
    wide = [each for each in limits if not each.holds]
    told = " → ".join([start, *(each.to.id for each in jumps)]) + "."
    if wide:
        told += f" {len(wide)} of the jumps {'is' if len(wide) == 1 else 'are'} too wide: get a paper between."
    return Answer(
        told,
        tuple(Named(each.name, each.found) for each in limits),
        limits,
        steps=tuple(f"{each.to.id} until no scratch of {each.start.id} is left" for each in jumps),
        notes=(
            f"{BEFORE_A_RECOAT} before a recoat is common practice, no source; the coat's data sheet goes before it.",
            "Count P numbers with P numbers: plain (CAMI) ones are other grits from 240 on.",
        ),
        cautions=("dust", "lead"),
    )


def _grade(text: str, where: str, grits: Mapping[str, Grit]) -> str:
    grade = grade_of(text)
    if grade not in grits:
        raise BadInput(Problem(where, text, "is no FEPA P grade known here.", f"Give one of {', '.join(grits)}."))
    return grade


def _papers(text: str, where: str, grits: Mapping[str, Grit]) -> tuple[str, ...]:
    return tuple(_grade(each, where, grits) for each in text.replace(",", " ").split())


def _jump_limit(jump: Jump) -> Against:
    name = f"{jump.start.id} to {jump.to.id}"
    return Against(name, jump.jump, MOST_JUMP, "times", "common practice, no source")


# ---- the questions ---------------------------------------------------------------------------------------------------

MIX = Question(
    "coats mix",
    "How much to mix, and what the scale must read?",
    (
        Ask("area", "area", "1.2 m2"),
        Ask("tin", "what is sprayed", "clear_2k", known=_films),
        Ask("film", "dry film, each coat", "25 µm"),
        Ask("solids", "solids by volume, ready for the gun", "42 %"),
        Ask("transfer", "share of it that lands on the part", "50 %"),
        Ask("coats", "coats", "2", "1"),
        Ask("ratio", "mixing ratio by volume", "4:1:1"),
        Ask("densities", "densities in kg/L, in the same order", "1.1:1.03:0.87"),
        Ask("cup", "cup at hand", "0.6 L"),
        Ask("pot", "pot life", "2 h"),
        Ask("flash", "flash between coats", "15 min", "15 min"),
        Ask("gun", "what the gun lets through", "0.15 L/min"),
    ),
    _mix,
)
FILM = Question(
    "coats film",
    "Which film is left, and how far does a litre go?",
    (
        Ask("wet", "wet film", "80 µm"),
        Ask("dry", "dry film", "28 µm"),
        Ask("solids", "solids by volume", "35 %"),
        Ask("thinner", "thinner, as a share of the paint", "10 %"),
        Ask("transfer", "share of it that lands on the part", "50 %"),
    ),
    _film,
)
GRIT = Question(
    "coats grit",
    "Which papers, from here to there?",
    (
        Ask("start", "grit whose scratches are there", "P120"),
        Ask("to", "grit to end with", "P800", BEFORE_A_RECOAT),
        Ask("papers", "papers at hand", "P180, P240, P320, P400, P600, P800"),
    ),
    _grit,
)

"""The tables of this folder become typed values: one function a table, each relation joined to what it belongs to.

Ids are not looked up here: a test proves that every one resolves, so that reading stays quick.
"""

from __future__ import annotations

import tomllib
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Protocol, TypeVar, get_args

from trimwright.facts.fixings import Doing, Fixing, Form, Handling, Holds, Once, When
from trimwright.facts.rows import Row, rows_of
from trimwright.facts.trade import (
    EXTENTS,
    Body,
    Buys,
    Care,
    Cause,
    Caution,
    Equipment,
    Family,
    Fault,
    FinalTest,
    Find,
    First,
    Glance,
    LiesIn,
    Look,
    Material,
    NeedsAir,
    Pack,
    PartKind,
    Pause,
    Per,
    Place,
    PointsAt,
    Practice,
    Rate,
    Reach,
    RecipeStep,
    Source,
    Spread3,
    Suits,
    Supplier,
    Tool,
    Trade,
    Treatment,
    TreatmentKind,
    UsualWear,
    Wait,
    WorkPlace,
)

ANY = "any"
"""Stands for every material family that is not met on restraint parts alone."""
COATS = "coats"
"""Stands for as many times as the treatment has coats."""
MOVED_BY = ("warmth", "damp")
BODIES: tuple[Body, ...] = get_args(Body)
BOUGHT: tuple[Buys, ...] = get_args(Buys)
CAUSES: tuple[Cause, ...] = get_args(Cause)
DOINGS: tuple[Doing, ...] = get_args(Doing)
EQUIPMENT: tuple[Equipment, ...] = get_args(Equipment)
FORMS: tuple[Form, ...] = get_args(Form)
HOLDS: tuple[Holds, ...] = get_args(Holds)
KINDS: tuple[TreatmentKind, ...] = get_args(TreatmentKind)
LIES_IN: tuple[LiesIn, ...] = get_args(LiesIn)
LOOKS: tuple[Look, ...] = get_args(Look)
NEEDS_AIR: tuple[NeedsAir, ...] = get_args(NeedsAir)
ONCE: tuple[Once, ...] = get_args(Once)
PAUSES: tuple[Pause, ...] = get_args(Pause)
PERS: tuple[Per, ...] = get_args(Per)
PLACES: tuple[Place, ...] = get_args(Place)
REACHES: tuple[Reach, ...] = get_args(Reach)
WHENS: tuple[When, ...] = get_args(When)
WORK_PLACES: tuple[WorkPlace, ...] = get_args(WorkPlace)


class _HasId(Protocol):
    @property
    def id(self) -> str: ...


Entry = TypeVar("Entry", bound=_HasId)
Value = TypeVar("Value")


def read_trade() -> Trade:
    """Every table of the package."""
    care = _grouped("care", "family", lambda row: Care(row.text("text"), row.evidence()))
    families = _by_id(_family(row, care) for row in rows_of("families"))
    parts = read_parts()
    return Trade(
        parts=parts,
        faults=read_faults(families),
        finds=read_finds(),
        treatments=read_treatments(parts),
        materials=read_materials(),
        tools=_by_id(map(_tool, rows_of("tools"))),
        suppliers=_by_id(map(_supplier, rows_of("suppliers"))),
        glances=read_glances(),
        cautions=_by_id(map(_caution, rows_of("cautions"))),
        final_tests=_by_id(map(_final_test, rows_of("final_tests"))),
        practice=_by_id(map(_practice, rows_of("practice"))),
        sources=read_sources(),
        families=families,
        usual_wear=_by_id(map(_usual_wear, rows_of("usual_wear"))),
    )


def _by_id(entries: Iterable[Entry]) -> MappingProxyType[str, Entry]:
    return MappingProxyType({entry.id: entry for entry in entries})


def _grouped(table: str, owner: str, value: Callable[[Row], Value]) -> Mapping[str, list[Value]]:
    """The rows of a relation as values, by the id in their `owner` column; nothing for an id without rows."""
    found: defaultdict[str, list[Value]] = defaultdict(list)
    for row in rows_of(table):
        found[row.text(owner)].append(value(row))
    return found


# ---- parts -----------------------------------------------------------------------------------------------------------


def read_parts() -> MappingProxyType[str, PartKind]:
    """Part kinds with what must come off before, what holds them, how they are handled, what they touch (told once a
    pair) and guessed prices."""
    held = _grouped("part_fixings", "part", _fixing)
    handled = _grouped("part_handling", "part", _handling)
    after = _grouped("part_after", "part", lambda row: row.several("after", "/"))
    touches: defaultdict[str, list[str]] = defaultdict(list)
    for row in rows_of("part_touches"):
        touches[row.text("part")].append(row.text("beside"))
        touches[row.text("beside")].append(row.text("part"))
    prices: defaultdict[str, dict[str, Spread3]] = defaultdict(dict)
    for row in rows_of("part_prices"):
        prices[row.text("part")][row.one_of("bought", BOUGHT)] = row.spread("low_usd", "likely_usd", "high_usd")
    return _by_id(
        _part(
            row,
            prices.get(row.text("id"), {}),
            comes_off_after=tuple(after.get(row.text("id"), ())),
            fixings=tuple(held.get(row.text("id"), ())),
            handling=tuple(handled.get(row.text("id"), ())),
            touches=tuple(touches.get(row.text("id"), ())),
        )
        for row in rows_of("parts")
    )


def _part(row: Row, prices: Mapping[str, Spread3], **relations: Any) -> PartKind:
    low, likely, high = (round(each * 1e6) for each in row.spread("area_low_m2", "area_m2", "area_high_m2"))
    return PartKind(
        id=row.text("id"),
        name=row.text("name"),
        zone=row.text("zone"),
        bodies=frozenset(row.some_of("bodies", BODIES)),
        places=row.some_of("places", PLACES),
        usual=row.yes("usual"),
        years=(row.whole("first_year"), row.whole("last_year")),
        needs_equipment=row.one_of("needs", EQUIPMENT) if row.text("needs") else None,
        without_equipment=row.one_of("without", EQUIPMENT) if row.text("without") else None,
        count=row.whole("count"),
        materials=row.several("materials"),
        area_mm2=(low, likely, high),
        length_mm=round(row.number("length_m") * 1000),
        sight=row.whole("sight"),
        touch=row.whole("touch"),
        wear=row.number("wear"),
        is_restraint=row.yes("restraint"),
        airbag_behind=row.some_of("airbag_behind", EQUIPMENT),
        head_impact=row.yes("head_impact"),
        needs_hold=row.yes("hold"),
        burn_rate=row.yes("burn_rate"),
        part_of=row.text("part_of") or None,
        rests_on=row.several("rests_on"),
        matching_set=row.text("matching_set") or None,
        is_step=row.yes("step"),
        clips=row.whole("clips"),
        clip_loss=row.number("clip_loss"),
        off_min=(row.whole("off_low_min"), row.whole("off_high_min")),
        back_min=(row.whole("back_low_min"), row.whole("back_high_min")),
        guessed_prices_usd=MappingProxyType(dict(prices)),
        note=row.text("note"),
        evidence=row.evidence(),
        by_door=row.yes("by_door"),
        wear_driver=row.number("wear_driver"),
        **relations,
    )


def _fixing(row: Row) -> Fixing:
    return Fixing(
        name=row.text("fixing"),
        form=row.one_of("form", FORMS),
        least=row.whole("least") if row.text("least") else None,
        most=row.whole("most") if row.text("most") else None,
        drive=row.text("drive"),
        used_once=row.one_of("used_once", ONCE),
        holds=row.one_of("holds", HOLDS) if row.text("holds") else None,
        fires=row.one_of("fires", EQUIPMENT) if row.text("fires") else None,
        evidence=row.evidence(),
    )


def _handling(row: Row) -> Handling:
    return Handling(
        when=row.one_of("when", WHENS),
        doing=row.one_of("what", DOINGS),
        text=row.text("text"),
        fitted=row.one_of("fitted", EQUIPMENT) if row.text("fitted") else None,
        evidence=row.evidence(),
    )


# ---- faults ----------------------------------------------------------------------------------------------------------


def read_faults(families: Mapping[str, Family]) -> MappingProxyType[str, Fault]:
    """Faults with the hidden ones each may stand for."""
    finds = _grouped("fault_finds", "fault", lambda row: PointsAt(row.text("find"), row.one_of("from", EXTENTS)))
    unrestrained = tuple(family.id for family in families.values() if not family.restraint)
    return _by_id(_fault(row, unrestrained, finds.get(row.text("id"), ())) for row in rows_of("faults"))


def _fault(row: Row, unrestrained: tuple[str, ...], finds: Iterable[PointsAt]) -> Fault:
    materials = row.several("materials")
    return Fault(
        id=row.text("id"),
        name=row.text("name"),
        materials=unrestrained if materials == (ANY,) else materials,
        look_for=row.text("look_for"),
        measure=row.text("measure"),
        grades=(row.text("light"), row.text("medium"), row.text("heavy")),
        likely_cause=row.text("likely_cause"),
        mend_limit=row.text("mend_limit"),
        caps=(row.whole("cap_light"), row.whole("cap_medium"), row.whole("cap_heavy")),
        slide=row.number("slide_a_year"),
        life_years=row.number("life_years"),
        must_deal_from=row.one_of("must_deal_from", EXTENTS) if row.text("must_deal_from") else None,
        stops=row.yes("stops"),
        smells=row.yes("smells"),
        finds=tuple(finds),
        evidence=row.evidence(),
    )


def read_finds() -> MappingProxyType[str, Find]:
    """Hidden faults with the parts each lies behind."""
    parts = _grouped("find_parts", "find", lambda row: row.text("part"))
    return _by_id(_find(row, parts.get(row.text("id"), ())) for row in rows_of("finds"))


def _find(row: Row, parts: Iterable[str]) -> Find:
    return Find(
        id=row.text("id"),
        name=row.text("name"),
        chance=row.spread("chance_low", "chance_likely", "chance_high"),
        minutes=row.spread("min_low", "min_likely", "min_high"),
        usd=row.spread("low_usd", "likely_usd", "high_usd"),
        cause=row.one_of("cause", CAUSES),
        lies_in=row.one_of("lies_in", LIES_IN),
        must_deal=row.yes("must_deal"),
        evidence=row.evidence(),
        told_by=row.text("told_by") or None,
        seen_off=row.yes("seen_off"),
        only_parts=tuple(parts),
    )


def read_glances() -> MappingProxyType[str, Glance]:
    """Looks worth taking, with the signs of each cause."""
    signs = _grouped("look_causes", "look", lambda row: (row.one_of("cause", CAUSES), row.text("sign")))
    return _by_id(_glance(row, signs.get(row.text("id"), ())) for row in rows_of("looks"))


def _glance(row: Row, signs: Iterable[tuple[Cause, str]]) -> Glance:
    return Glance(
        id=row.text("id"),
        name=row.text("name"),
        how=row.text("how"),
        minutes=row.whole("minutes"),
        parts=row.several("parts"),
        signs=MappingProxyType(dict(signs)),
        finds=row.several("finds"),
        equipment=row.some_of("equipment", EQUIPMENT),
        cautions=row.several("cautions"),
        evidence=row.evidence(),
    )


def _usual_wear(row: Row) -> UsualWear:
    used, worn, neglected = (
        row.one_of(each, EXTENTS) if row.text(each) else None for each in ("used", "worn", "neglected")
    )
    return UsualWear(
        id=row.text("id"),
        family=row.text("family"),
        fault=row.text("fault"),
        used=used,
        worn=worn,
        neglected=neglected,
        evidence=row.evidence(),
    )


# ---- treatments ------------------------------------------------------------------------------------------------------


def read_treatments(parts: Mapping[str, PartKind]) -> MappingProxyType[str, Treatment]:
    """Treatments with what each suits, needs first, uses and takes, step by step."""
    uses: defaultdict[str, dict[str, list[Rate]]] = defaultdict(dict)
    for row in rows_of("treatment_uses"):
        uses[row.text("treatment")].setdefault(row.text("material"), []).append(_rate(row))
    hours = _grouped("treatment_hours", "treatment", _hours)
    steps = _grouped("treatment_steps", "treatment", _recipe_step)
    suits = _grouped("treatment_suits", "treatment", _suits)
    firsts = _grouped("treatment_first", "treatment", _first)
    limits = _grouped("treatment_parts", "treatment", lambda row: (row.text("part"), row.yes("only")))
    return _by_id(
        _treatment(
            row,
            suits=tuple(suits.get(row.text("id"), ())),
            only_parts=_only_parts(limits.get(row.text("id"), ()), parts),
            first=tuple(firsts.get(row.text("id"), ())),
            uses=tuple((material, tuple(rates)) for material, rates in uses.get(row.text("id"), {}).items()),
            hours=tuple(hours.get(row.text("id"), ())),
            steps=_made(steps.get(row.text("id"), ()), row.whole("coats")),
        )
        for row in rows_of("treatments")
    )


def _made(steps: Iterable[tuple[RecipeStep, bool]], coats: int) -> tuple[RecipeStep, ...]:
    """The steps, those of a coat as often as there are coats."""
    return tuple(replace(step, times=coats) if each_coat else step for step, each_coat in steps)


def _only_parts(limits: Iterable[tuple[str, bool]], parts: Mapping[str, PartKind]) -> tuple[str, ...]:
    """The kinds a treatment is for: those named, or all but those named; empty means any."""
    named = tuple(part for part, only in limits if only)
    barred = {part for part, only in limits if not only}
    if named or not barred:
        return named
    return tuple(kind.id for kind in parts.values() if not (kind.id in barred or kind.is_step or kind.is_restraint))


def _treatment(row: Row, **relations: Any) -> Treatment:
    low, high = row.number("hours_low"), row.number("hours_high")
    return Treatment(
        id=row.text("id"),
        name=row.text("name"),
        kind=row.one_of("kind", KINDS),
        materials=row.several("materials"),
        suits_any=row.yes("settles_all"),
        reach=row.one_of("reach", REACHES),
        hours_spread=(low, high),
        coats=row.whole("coats"),
        temp_min_c=row.number_or_none("temp_min_c"),
        temp_best_c=row.number_or_none("temp_best_c"),
        rh_max_pct=row.number_or_none("rh_max_pct"),
        abrasives=row.text("abrasives"),
        finish=row.whole_spread("finish_low", "finish", "finish_high"),
        life_years=row.spread("life_low", "life", "life_high"),
        redo=(row.number("redo_low"), row.number("redo_high")),
        skill=row.whole("skill"),
        tools=row.several("tools"),
        batch=row.text("batch") or None,
        batch_minutes=row.whole("batch_min"),
        visit=row.text("visit") or None,
        buys=row.one_of("buys", BOUGHT) if row.text("buys") else None,
        on_restraint=row.yes("on_restraint"),
        over_airbag=row.yes("over_airbag"),
        on_sensor_seat=row.yes("on_sensor_seat"),
        on_head_impact=row.yes("on_head_impact"),
        needs_capability=row.several("needs_capability"),
        kept=row.number("kept"),
        look=row.one_of("look", LOOKS),
        lasts=row.yes("lasts"),
        wish=row.yes("wish"),
        cautions=row.several("cautions"),
        not_for=row.text("not_for"),
        evidence=row.evidence(),
        **relations,
    )


def _rate(row: Row) -> Rate:
    return Rate(
        amount=row.number("amount"),
        per=row.one_of("per", PERS),
        each_coat=row.yes("each_coat"),
        waste=row.number("waste"),
        divisor=row.number("divisor"),
        divisor_name=row.text("divisor_name"),
    )


def _hours(row: Row) -> Rate:
    return Rate(amount=row.number("hours"), per=row.one_of("per", PERS), each_coat=row.yes("each_coat"))


def _recipe_step(row: Row) -> tuple[RecipeStep, bool]:
    """The step, and whether it is made once for each of the treatment's coats."""
    each_coat = row.text("times") == COATS
    step = RecipeStep(
        text=row.text("step"),
        share=row.number("share") / 100,
        times=1 if each_coat else row.whole("times"),
        place=row.one_of("place", WORK_PLACES),
        pause=row.one_of("pause", PAUSES),
        air=row.one_of("air", NEEDS_AIR) if row.text("air") else None,
        materials=row.yes("materials"),
        wait=_wait(row) if row.text("wait") else None,
        evidence=row.evidence(),
    )
    return step, each_coat


def _wait(row: Row) -> Wait:
    moved_by = row.some_of("moved_by", MOVED_BY)
    return Wait(
        name=row.text("wait"),
        hours=row.spread("low_h", "likely_h", "high_h"),
        place=row.text("wait_place"),
        closes=row.yes("closes"),
        warmth="warmth" in moved_by,
        damp="damp" in moved_by,
    )


def _suits(row: Row) -> Suits:
    return Suits(row.text("fault"), row.one_of("upto", EXTENTS))


def _first(row: Row) -> First:
    return First(row.text("first"), row.text("if_fault") or None, row.text("if_material") or None)


# ---- what is bought, said and counted on -----------------------------------------------------------------------------


def read_materials() -> MappingProxyType[str, Material]:
    """Materials with the packs they are sold in."""
    packs = _grouped("packs", "material", _pack)
    return _by_id(_material(row, packs.get(row.text("id"), ())) for row in rows_of("materials"))


def _material(row: Row, packs: Iterable[Pack]) -> Material:
    return Material(
        id=row.text("id"),
        name=row.text("name"),
        unit=row.text("unit"),
        coloured=row.yes("coloured"),
        one_batch=row.yes("one_batch"),
        least_mix=row.number("least_mix"),
        shelf_months=row.whole("shelf_months") if row.text("shelf_months") else None,
        handling=row.text("handling"),
        packs=tuple(packs),
    )


def _pack(row: Row) -> Pack:
    price = row.price("low", "high")
    return Pack(row.text("id"), row.text("sold_as"), row.number("size"), price, row.text("supplier"), row.evidence())


def _tool(row: Row) -> Tool:
    return Tool(
        id=row.text("id"),
        name=row.text("name"),
        price=row.price("low", "high"),
        jobs=row.whole("jobs"),
        hand_tool=row.yes("hand_tool"),
        evidence=row.evidence(),
    )


def _supplier(row: Row) -> Supplier:
    return Supplier(
        id=row.text("id"),
        name=row.text("name"),
        carriage=row.price("carriage_low", "carriage_high"),
        free_over=row.price("free_over_low", "free_over_high") if row.text("free_over_low") else None,
        least_order=row.price("least_order_low", "least_order_high") if row.text("least_order_low") else None,
        days=row.whole_spread("days_low", "days_likely", "days_high"),
        evidence=row.evidence(),
    )


def _family(row: Row, care: Mapping[str, list[Care]]) -> Family:
    return Family(row.text("id"), row.text("name"), row.yes("restraint"), tuple(care.get(row.text("id"), ())))


def _caution(row: Row) -> Caution:
    return Caution(row.text("id"), row.text("text"), row.evidence())


def _final_test(row: Row) -> FinalTest:
    return FinalTest(
        id=row.text("id"),
        subject=row.text("subject"),
        text=row.text("text"),
        trained=row.yes("trained"),
        fitted=row.one_of("fitted", EQUIPMENT) if row.text("fitted") else None,
        evidence=row.evidence(),
    )


def _practice(row: Row) -> Practice:
    return Practice(row.text("id"), row.number("value"), row.text("unit"), row.text("what"), row.evidence())


def read_sources() -> MappingProxyType[str, Source]:
    """Where rows are from, by the id they give."""
    listed = tomllib.loads((files("trimwright.facts") / "sources.toml").read_text(encoding="utf-8"))
    return _by_id(Source(source_id, entry["title"], entry["note"]) for source_id, entry in listed.items())

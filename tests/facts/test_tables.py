"""The tables as they stand: every id resolves, every figure has a unit and comes to something, nothing falls."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from trimwright.craft.amounts import worked_amount
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.facts.reading import read_trade
from trimwright.facts.rows import Row, rows_of
from trimwright.facts.trade import EXTENTS, Evidence, Extent, Fault, PartKind, Rate, Trade, Treatment
from trimwright.facts.workbench import FIGURES, load_workbench

TRADE = load()
WORKBENCH = load_workbench()
ROOT = Path(__file__).parents[2]
UNITS = {"L", "m²", "m", "piece", "can", "pair", "day", "visit"}


def dangling(trade: Trade) -> Iterator[str]:
    """Every id that is named and does not exist."""
    tables = {
        "part": trade.parts, "family": trade.families, "fault": trade.faults, "find": trade.finds,
        "treatment": trade.treatments, "material": trade.materials, "tool": trade.tools,
        "supplier": trade.suppliers, "caution": trade.cautions, "source": trade.sources, "glance": trade.glances,
    }  # fmt: skip
    cared_for = (row.text("family") for row in rows_of("care"))
    yield from (f"care of {each!r}" for each in cared_for if each not in trade.families)
    for table, owner, named in references(trade):
        if named not in tables[table]:
            yield f"{owner} names {table} {named!r}"


def references(trade: Trade) -> Iterator[tuple[str, str, str]]:
    """(table, owner, id named) of every relation."""
    for kind in trade.parts.values():
        others = (*kind.rests_on, *kind.touches, *(each for entry in kind.comes_off_after for each in entry))
        yield from (("part", kind.id, each) for each in others)
        yield from (("family", kind.id, each) for each in kind.materials)
        if kind.part_of:
            yield "part", kind.id, kind.part_of
        yield from (("caution", kind.id, each.text) for each in kind.handling if each.doing == "caution")
    for fault in trade.faults.values():
        yield from (("family", fault.id, each) for each in fault.materials)
        yield from (("find", fault.id, each.find) for each in fault.finds)
    yield from (("family", find.id, find.told_by) for find in trade.finds.values() if find.told_by)
    for treatment in trade.treatments.values():
        yield from (("family", treatment.id, each) for each in treatment.materials)
        yield from (("fault", treatment.id, each.fault) for each in treatment.suits)
        yield from (("part", treatment.id, each) for each in treatment.only_parts)
        yield from (("material", treatment.id, each) for each, _ in treatment.uses)
        yield from (("tool", treatment.id, each) for each in treatment.tools)
        yield from (("caution", treatment.id, each) for each in treatment.cautions)
        for first in treatment.first:
            yield "treatment", treatment.id, first.treatment
            if first.if_fault:
                yield "fault", treatment.id, first.if_fault
            if first.if_material:
                yield "family", treatment.id, first.if_material
    for glance in trade.glances.values():
        yield from (("part", glance.id, each) for each in glance.parts)
        yield from (("find", glance.id, each) for each in glance.finds)
        yield from (("caution", glance.id, each) for each in glance.cautions)
    for material in trade.materials.values():
        yield from (("supplier", pack.id, pack.supplier) for pack in material.packs)
    yield from (("source", owner, evidence.source) for owner, evidence in evident(trade))
    for table, column, owners in OWNED:
        for row in rows_of(table):
            yield owners, table, row.text(column)
            if table == "part_prices":
                yield "source", row.text(column), row.text("source")


OWNED = [
    ("part_after", "part", "part"), ("part_touches", "part", "part"), ("part_prices", "part", "part"),
    ("fault_finds", "fault", "fault"), ("find_parts", "find", "find"), ("find_parts", "part", "part"),
    ("packs", "material", "material"), ("treatment_uses", "treatment", "treatment"),
    ("treatment_hours", "treatment", "treatment"), ("treatment_steps", "treatment", "treatment"),
    ("treatment_suits", "treatment", "treatment"), ("treatment_first", "treatment", "treatment"),
    ("treatment_parts", "treatment", "treatment"), ("treatment_parts", "part", "part"),
    ("look_causes", "look", "glance"), ("part_fixings", "part", "part"), ("part_handling", "part", "part"),
]  # fmt: skip
"""Relations in tables of their own: table, column, what its entries must be."""


def evident(trade: Trade) -> Iterator[tuple[str, Evidence]]:
    """Every entry that carries evidence."""
    packs = {pack.id: pack for material in trade.materials.values() for pack in material.packs}
    yield from ((each.id, each.evidence) for each in trade.parts.values())
    yield from ((kind.id, each.evidence) for kind in trade.parts.values() for each in kind.fixings)
    yield from ((kind.id, each.evidence) for kind in trade.parts.values() for each in kind.handling)
    yield from ((each.id, each.evidence) for each in trade.faults.values())
    yield from ((each.id, each.evidence) for each in trade.finds.values())
    yield from ((each.id, each.evidence) for each in trade.treatments.values())
    yield from ((each.id, step.evidence) for each in trade.treatments.values() for step in each.steps)
    yield from ((each.id, each.evidence) for each in trade.glances.values())
    yield from ((each.id, each.evidence) for each in trade.tools.values())
    yield from ((each.id, each.evidence) for each in trade.suppliers.values())
    yield from ((each.id, each.evidence) for each in trade.cautions.values())
    yield from ((each.id, each.evidence) for each in trade.practice.values())
    yield from ((each.id, each.evidence) for each in trade.final_tests.values())
    yield from ((family.id, each.evidence) for family in trade.families.values() for each in family.care)
    yield from ((each.id, each.evidence) for each in packs.values())
    yield from at_the_workbench()


def at_the_workbench() -> Iterator[tuple[str, Evidence]]:
    """Every entry of the workbench's tables, shares of solvents among them."""
    for solvent in WORKBENCH.solvents.values():
        yield from ((solvent.id, each) for each in solvent.evidence.values())
        yield from ((solvent.id, each.evidence) for each in solvent.limits)
    yield from ((each.id, each.evidence) for each in WORKBENCH.coats.values())
    yield from ((each.id, each.evidence) for each in WORKBENCH.places.values())
    yield from ((each.id, each.evidence) for each in WORKBENCH.bolt_threads.values())
    yield from ((each.id, each.evidence) for each in WORKBENCH.grits.values())
    yield from ((row.text("material"), row.evidence()) for row in rows_of("coat_solvents"))


def test_every_id_resolves() -> None:
    assert list(dangling(TRADE)) == []


def test_every_entry_is_met_somewhere() -> None:
    """Nothing lies about unused: a find nobody points at, a caution nobody shows, a tool nobody takes up."""
    named: dict[str, set[str]] = {}
    for table, _, each in references(TRADE):
        named.setdefault(table, set()).add(each)
    assert set(TRADE.finds) == {each.find for fault in TRADE.faults.values() for each in fault.finds}
    assert set(TRADE.tools) == named["tool"]
    # burn_rate is shown with every new cover, cover_airbag with every piece that is cut
    assert set(TRADE.cautions) - {"burn_rate", "cover_airbag"} <= named["caution"]
    assert set(TRADE.sources) == named["source"]
    assert set(TRADE.families) == named["family"]
    used = {material for treatment in TRADE.treatments.values() for material, _ in treatment.uses}
    assert set(TRADE.materials) == used | {"scan_check"}  # what a trained person's visit costs


@pytest.mark.parametrize("treatment", TRADE.treatments.values(), ids=lambda each: each.id)
def test_a_formula_has_a_unit_and_comes_to_something(treatment: Treatment) -> None:
    def on_a_plain_part(rates: tuple[Rate, ...], unit: str) -> float:
        return worked_amount(
            rates, area_mm2=1_000_000, length_mm=1000, pieces=1, coats=treatment.coats, unit=unit, source="test"
        ).value

    assert on_a_plain_part(treatment.hours, "h") > 0
    for material, rates in treatment.uses:
        assert TRADE.materials[material].unit in UNITS
        assert on_a_plain_part(rates, TRADE.materials[material].unit) > 0
    for rate in (*treatment.hours, *(rate for _, rates in treatment.uses for rate in rates)):
        assert rate.amount > 0
        assert rate.waste >= 1
        assert rate.divisor > 0
        assert (rate.divisor == 1) == (not rate.divisor_name)
        assert treatment.coats > 0 or not rate.each_coat


@pytest.mark.parametrize("treatment", TRADE.treatments.values(), ids=lambda each: each.id)
def test_times_have_a_least_a_typical_and_a_most(treatment: Treatment) -> None:
    low, high = treatment.hours_spread
    assert 0 < low <= 1 <= high
    for wait in treatment.waits:
        least, typical, most = wait.hours
        assert 0 < least <= typical <= most
    for three in (treatment.finish, treatment.life_years):
        assert list(three) == sorted(three)
    assert 0 <= treatment.redo[0] <= treatment.redo[1] < 1
    assert 0 <= treatment.kept <= 1
    assert treatment.life_years[1] > 0 or not any(treatment.finish)


@pytest.mark.parametrize("treatment", TRADE.treatments.values(), ids=lambda each: each.id)
def test_a_recipe_shares_out_all_its_hours(treatment: Treatment) -> None:
    steps = treatment.steps
    assert sum(step.share for step in steps) == pytest.approx(1)
    assert steps[0].share > 0  # a wait follows work
    for step in steps:
        assert step.times >= 1
        assert step.share > 0 or step.times == 1
        assert step.air is None or treatment.temp_min_c is not None
        if step.wait is not None:
            assert not step.wait.damp or step.wait.warmth
            assert step.pause != "no"  # what waits is left alone
    assert any(step.materials for step in steps) or not treatment.uses or treatment.buys == "service"
    assert steps[-1].pause != "no"


def test_only_recoat_windows_and_the_open_time_of_glue_close() -> None:
    """The promoter's window is marked in the research; a solvent contact adhesive is open for 30 min (data sheet)."""
    closing = {wait.name for each in TRADE.treatments.values() for wait in each.waits if wait.closes}
    assert closing == {"promoter", "glue"}
    assert all(wait.hours[2] <= 1 for each in TRADE.treatments.values() for wait in each.waits if wait.closes)


def test_figures_lie_where_they_can() -> None:
    for kind in TRADE.parts.values():
        assert list(kind.area_mm2) == sorted(kind.area_mm2)
        assert 0 <= kind.sight <= 3
        assert 0 <= kind.touch <= 3
        assert kind.wear >= 1
        assert kind.off_min[0] <= kind.off_min[1]
        assert kind.back_min[0] <= kind.back_min[1]
        assert kind.materials or kind.is_step
        assert all(list(price) == sorted(price) for price in kind.guessed_prices_usd.values())
    for fault in TRADE.faults.values():
        assert list(fault.caps) == sorted(fault.caps, reverse=True)
        assert 0 <= fault.caps[2] <= fault.caps[0] <= 10
    for find in TRADE.finds.values():
        assert 0 < find.chance[0] <= find.chance[2] < 1
        assert find.usd[1] <= sum(find.usd) / 3 + 1  # money leans low
    for material in TRADE.materials.values():
        assert material.packs
        assert all(pack.size > 0 and pack.price.usd[0] > 0 for pack in material.packs)
    packs = [pack.id for material in TRADE.materials.values() for pack in material.packs]
    assert len(packs) == len(set(packs))


def test_fixings_are_counted_and_what_holds_people_is_marked() -> None:
    for kind in TRADE.parts.values():
        assert len({each.name for each in kind.fixings}) == len(kind.fixings), kind.id
        for each in kind.fixings:
            assert (each.least is None) == (each.most is None)
            assert (each.least or 0) <= (each.most or 0)
            assert each.form == "bolt" or each.holds is None, kind.id
            assert each.form == "plug" or each.fires is None, kind.id
        if kind.is_restraint or "anchor" in " ".join(each.name for each in kind.fixings):
            assert all(each.holds for each in kind.fixings if each.form == "bolt"), kind.id
    for held in ("fseat_off", "rseat_back_off", "wheel_off", "pass_airbag", "carpet_main", "pillar_b_upper"):
        assert any(fixing.holds for fixing in TRADE.parts[held].fixings), held


def test_every_guess_says_so() -> None:
    """What is from memory or our own estimate is marked a guess; what is marked read on pages has a page behind it."""
    unsourced = {"memory", "own-guess", "hidden-guess", "price-spread"}
    for owner, evidence in evident(TRADE):
        if evidence.source in unsourced:
            assert evidence.level == "guess", owner
        assert (evidence.level == "common practice") == (evidence.source == "common-practice"), owner
    assert {find.evidence.level for find in TRADE.finds.values()} == {"guess"}


# ---- every fault has a way out ---------------------------------------------------------------------------------------


def ways_out(kind: PartKind, family: str, fault: Fault, extent: Extent) -> list[str]:
    """Treatments, leaving it aside, that deal with the fault on such a part."""
    return [
        treatment.id
        for treatment in TRADE.treatments.values()
        if (not treatment.materials or family in treatment.materials)
        and (not treatment.only_parts or kind.id in treatment.only_parts)
        and (treatment.on_restraint or not kind.is_restraint)
        and (
            (treatment.suits_any and treatment.buys in kind.guessed_prices_usd)
            or any(
                each.fault == fault.id and EXTENTS.index(each.upto) >= EXTENTS.index(extent) for each in treatment.suits
            )
        )
    ]


@pytest.mark.parametrize("kind", [kind for kind in TRADE.parts.values() if not kind.is_step], ids=lambda each: each.id)
def test_every_fault_a_part_can_have_has_a_way_out(kind: PartKind) -> None:
    stuck = [
        (family, fault.id, extent)
        for family in kind.materials
        for fault in TRADE.faults.values()
        if family in fault.materials
        for extent in EXTENTS
        if not ways_out(kind, family, fault, extent)
    ]
    assert stuck == []


def test_a_hidden_fault_lies_behind_a_part_that_can_point_at_it() -> None:
    """Each kind a find is limited to can have a fault that stands for it, and each find has at least one."""
    for find in TRADE.finds.values():
        pointing = [fault for fault in TRADE.faults.values() if find.id in {each.find for each in fault.finds}]
        behind = {
            kind.id
            for kind in TRADE.parts.values()
            if find.lies_behind(kind.id) and any(set(kind.materials) & set(fault.materials) for fault in pointing)
        }
        assert behind
        assert not set(find.only_parts) - behind, find.id


def test_a_look_shows_what_lies_behind_the_parts_it_looks_at() -> None:
    """Each of its finds can lie behind one of its parts; no part belongs to two looks, so an answer is of one."""
    for glance in TRADE.glances.values():
        for find in map(TRADE.finds.__getitem__, glance.finds):
            assert any(find.lies_behind(kind) for kind in glance.parts), (glance.id, find.id)
            assert not TRADE.parts[glance.parts[0]].is_step
        assert glance.signs
        assert 5 <= glance.minutes <= 20
    looked_at = [kind for glance in TRADE.glances.values() for kind in glance.parts]
    assert len(looked_at) == len(set(looked_at))


def test_a_look_waits_for_make_safe_wherever_its_parts_do() -> None:
    """Where a part hides an airbag or waits for make-safe itself, the look behind it names that equipment."""
    for glance in TRADE.glances.values():
        behind = {item for kind in glance.parts for item in TRADE.parts[kind].airbag_behind}
        assert behind <= set(glance.equipment), glance.id
        assert glance.waits_for_make_safe(lambda _item: True) == bool(glance.equipment)
        assert not glance.waits_for_make_safe(lambda _item: False)
        holds = any(TRADE.parts[kind].needs_hold for kind in glance.parts)
        assert glance.equipment or not holds, glance.id


def test_firsts_do_not_go_round_and_fit_the_material() -> None:
    def before(treatment: str, family: str, above: tuple[str, ...] = ()) -> None:
        assert treatment not in above, above
        for first in TRADE.treatments[treatment].first:
            if first.if_material in (None, family):
                materials = TRADE.treatments[first.treatment].materials
                assert not materials or family in materials, (treatment, first.treatment, family)
                before(first.treatment, family, (*above, treatment))

    for treatment in TRADE.treatments.values():
        for family in treatment.materials or tuple(TRADE.families):
            before(treatment.id, family)


# ---- reading ---------------------------------------------------------------------------------------------------------


def test_a_slip_is_named_by_file_line_and_column() -> None:
    row = Row("facts/parts.csv line 7", {"count": "two", "usual": "maybe", "low": "3", "likely": "2", "high": "4"})
    for slip, place in (
        (lambda: row.whole("count"), "facts/parts.csv line 7, count: 'two' is not a number."),
        (lambda: row.yes("usual"), "facts/parts.csv line 7, usual: 'maybe' must be yes or no."),
        (lambda: row.spread("low", "likely", "high"), "facts/parts.csv line 7, likely: '2' must lie between"),
        (lambda: row.one_of("usual", ("yes", "no")), "facts/parts.csv line 7, usual: 'maybe' is not one of"),
    ):
        with pytest.raises(BadInput, match=place):
            slip()


def test_reading_is_quick() -> None:
    """Every command reads the facts; they must not be felt. The best of three: other tests leave garbage to collect."""
    took = []
    for _time in range(3):
        started = time.process_time()
        read_trade()
        took.append(time.process_time() - started)
    assert min(took) < 0.2


def test_the_sources_page_says_what_the_facts_say() -> None:
    page = (ROOT / "docs" / "sources.md").read_text(encoding="utf-8")
    listed = [line for line in page.splitlines() if line.startswith("| `")]
    assert listed == [f"| `{each.id}` | {each.title} | {each.note} |" for each in TRADE.sources.values()]


# ---- the workbench ---------------------------------------------------------------------------------------------------


def test_the_workbench_knows_what_it_names() -> None:
    assert set(WORKBENCH.coats) <= set(TRADE.materials)
    for coat in WORKBENCH.coats.values():
        assert {solvent for solvent, _ in coat.solvents} <= set(WORKBENCH.solvents)
        assert 0 < sum(share for _, share in coat.solvents) + (coat.solids or 0) <= 1, coat.id
        assert (coat.solids is None) == (coat.film_um is None) == (coat.transfer is None), coat.id
        assert coat.ratio.count(":") == coat.densities.count(":"), coat.id
    for table, column in (("solvent_figures", "solvent"), ("solvent_limits", "solvent")):
        assert {row.text(column) for row in rows_of(table)} == set(WORKBENCH.solvents)


def test_two_pack_materials_are_marked() -> None:
    """What the materials' own handling calls an isocyanate is one here, and the other way round."""
    marked = {each.id for each in TRADE.materials.values() if "isocyanate" in each.handling}
    assert {each.id for each in WORKBENCH.coats.values() if each.isocyanate} == marked


def test_figures_of_solvents_lie_where_they_can() -> None:
    for solvent in WORKBENCH.solvents.values():
        assert set(solvent.evidence) == set(FIGURES)
        assert 15 < solvent.molar_mass < 200
        assert 0.4 < solvent.density < 1.5
        assert 0 < solvent.vapour_pressure <= 101.325
        assert 0.5 < solvent.lel <= 15
        assert all(0 < limit.ppm < solvent.lel * 1e4 and 1990 <= limit.year <= 2026 for limit in solvent.limits)
    grains = [each.um for each in WORKBENCH.grits.values()]
    assert grains == sorted(grains, reverse=True)
    for state in WORKBENCH.bolt_threads.values():
        assert 0 < state.k[0] <= state.k[1] <= state.k[2] < 0.6

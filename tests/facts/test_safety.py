"""What must never be offered: restraint parts mended, work over an airbag, two-pack spraying without the means.

The bans are those of workshop manuals and owner handbooks (restraints never modified, never dyed, glued or covered)
and of the UK Health and Safety Executive (isocyanate paint is sprayed in air-fed masks only).
"""

from __future__ import annotations

import pytest

from trimwright.facts import load
from trimwright.facts.trade import Treatment

TRADE = load()
ON_RESTRAINTS = {
    "leave", "clean_dry", "leather_clean", "vinyl_clean", "plastic_clean", "cloth_damp", "suede_revive",
    "belt_wash", "belt_replace", "airbag_wipe", "airbag_replace", "sensor_reset", "new_fit", "maker_fit",
}  # fmt: skip
"""All that is ever done over an airbag: wipes and damp cloths, and the maker's own new part."""


def test_restraints_are_washed_wiped_replaced_new_or_checked_and_nothing_else() -> None:
    allowed = {each.id for each in TRADE.treatments.values() if each.on_restraint}
    assert allowed == {"belt_wash", "belt_replace", "airbag_wipe", "airbag_replace", "sensor_reset"}
    for each in allowed:
        assert TRADE.treatments[each].buys in (None, "new")
        assert TRADE.treatments[each].kind in ("clean", "fit new", "mend")
    assert TRADE.treatments["sensor_reset"].uses == ()  # the one "mend": a check, by a trained person
    assert TRADE.treatments["sensor_reset"].visit


def test_what_opens_a_restraint_asks_for_a_trained_person() -> None:
    for each in ("belt_replace", "airbag_replace", "sensor_reset", "maker_fit"):
        assert TRADE.treatments[each].visit == "trained_person"


def test_restraint_parts_are_never_bought_used_or_copied() -> None:
    restraints = [kind for kind in TRADE.parts.values() if kind.is_restraint]
    assert {"wheel_airbag", "pass_airbag", "belt_front", "belt_rear", "belt_buckle", "seat_sensor"} <= {
        kind.id for kind in restraints
    }
    for kind in restraints:
        assert set(kind.guessed_prices_usd) <= {"new"}
        assert all(TRADE.families[each].restraint for each in kind.materials)
    for treatment in TRADE.treatments.values():
        if not treatment.on_restraint:
            assert not {kind.id for kind in restraints} & set(treatment.only_parts)


@pytest.mark.parametrize("treatment", TRADE.treatments.values(), ids=lambda each: each.id)
def test_nothing_but_a_wipe_or_the_makers_part_goes_over_an_airbag(treatment: Treatment) -> None:
    if treatment.over_airbag:
        assert treatment.id in ON_RESTRAINTS
        assert treatment.kind in ("leave", "clean") or treatment.buys == "new" or treatment.id == "sensor_reset"
    if treatment.on_sensor_seat and treatment.kind in ("mend", "re-cover", "fit used", "fit new"):
        # nothing that opens the seat or goes into it, the maker's own part aside
        assert treatment.reach == "in place" or treatment.buys == "new" or treatment.on_restraint


def test_a_seat_that_may_have_an_airbag_or_a_sensor_still_has_a_way_to_a_new_cover() -> None:
    maker = TRADE.treatments["maker_fit"]
    assert maker.over_airbag
    assert maker.on_sensor_seat
    assert {"fseat_cushion_cover", "fseat_back_cover"} <= set(maker.only_parts)
    assert not set(maker.only_parts) & set(TRADE.treatments["new_fit"].only_parts)


@pytest.mark.parametrize("kind_id", ["dash_top", "pillar_a", "headliner_board", "knee_panel", "fseat_back_cover"])
def test_parts_in_front_of_an_airbag_know_it(kind_id: str) -> None:
    assert TRADE.parts[kind_id].airbag_behind
    assert TRADE.parts[kind_id].needs_hold
    assert not TRADE.parts[kind_id].is_restraint


def test_head_impact_boards_keep_their_structure() -> None:
    for each in ("headliner_board_fix", "foam_topup", "board_fix", "tab_rebuild", "dash_fill"):
        assert not TRADE.treatments[each].on_head_impact
    assert TRADE.parts["headliner_base_padded"].head_impact


def test_two_pack_spraying_needs_what_the_shop_must_declare() -> None:
    """UK HSE: filter masks do not protect; so every use of a two-pack clear asks for mask and booth, and only those."""
    for treatment in TRADE.treatments.values():
        two_pack = any(material in ("clear_2k", "clear_2k_can") for material, _ in treatment.uses)
        assert treatment.needs_capability == (("air_fed_mask", "booth") if two_pack else ())
        assert ("isocyanate" in treatment.cautions) == two_pack


def test_faults_that_may_not_be_left() -> None:
    """Owner handbooks: replace webbing that is frayed, cut or heavily faded; never hand over with the lamp on."""
    may_not = {fault.id for fault in TRADE.faults.values() if fault.must_deal}
    assert may_not == {"B_frayed", "B_faded", "B_slow", "A_cover", "S_lamp"}
    assert not TRADE.faults["B_faded"].must_be_dealt_with("medium")
    assert TRADE.faults["B_faded"].must_be_dealt_with("heavy")
    assert TRADE.faults["B_frayed"].must_be_dealt_with("light")
    stops = {fault.id for fault in TRADE.faults.values() if fault.stops}
    assert stops == {"X_rodent", "X_asbestos", "X_anchor", "X_lead"}
    for find in ("wet_underlay", "floor_holes", "live_leak", "loom_damage", "belts_condemned", "module_life"):
        assert TRADE.finds[find].must_deal


def test_hurtful_work_carries_its_caution() -> None:
    """By what is used: epoxy, methacrylate, styrene, solvents, aerosols."""
    asks = {
        "epoxy": {"epoxy"}, "flex_epoxy": {"epoxy"}, "mma": {"mma"}, "resin_mat": {"styrene"},
        "contact_glue": {"solvent"}, "spray_glue": {"solvent"}, "citrus_remover": {"solvent"},
        "leather_prep": {"solvent"}, "crosslinker": {"crosslinker"}, "biocide": {"mould", "rodent"},
        "trim_colour_can": {"aerosol", "heat"}, "hog_rings": {"hog_rings"}, "stripper": {"solvent"},
    }  # fmt: skip
    for treatment in TRADE.treatments.values():
        if treatment.lasts:
            for material, _ in treatment.uses:
                if material in asks:
                    assert asks[material] & set(treatment.cautions), (treatment.id, material)

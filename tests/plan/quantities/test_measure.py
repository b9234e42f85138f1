"""What courses need: amounts, packs, money in the job's currency, steps, hidden faults, and how fast it is told."""

from __future__ import annotations

from math import ceil
from pathlib import Path
from time import perf_counter
from typing import Any

import pytest

from tests.plan.quantities.cabins import TRADE, course, job_of, option, part, quantities_of
from trimwright.demo import demo_job
from trimwright.job.files import read_job
from trimwright.plan.quantities.cabin import LEAVE, Course, Quantities
from trimwright.plan.quantities.measure import measure

JOBS = Path(__file__).parents[2] / "jobs"
WHEEL = part(
    "wheel_rim_leather",
    "rim-leather",
    3,
    "W_worn heavy",
    offers=[{"source": "new", "low": 37900, "likely": 37900, "high": 37900}],
)


def packs_bought(quantities: Quantities, chosen: Course) -> int:
    """Money for whole packs of one course alone, the cheapest of each."""
    return sum(
        min(ceil(need.milli / pack.size_milli) * pack.price for pack in quantities.materials[need.material].packs)
        for need in chosen.needs
    )


def test_a_wheel_costs_about_120_to_wrap_and_379_to_replace() -> None:
    """Common practice, no source: materials and lacing set for a first wheel about 120, a replacement from 379."""
    quantities = quantities_of(WHEEL)
    wrap = course(quantities, "wheel_rim_leather", "wheel_rewrap")
    tools = sum(quantities.shared[each].money for each in wrap.once)
    assert packs_bought(quantities, wrap) + tools == pytest.approx(12000, rel=0.1)
    (bought,) = course(quantities, "wheel_rim_leather", "new_fit").purchases
    assert bought.price.mean == 37900
    assert bought.evidence == "offer"


def test_a_shop_is_charged_its_share_of_a_tool_and_an_owner_the_whole_price() -> None:
    tool = TRADE.tools["lacing_set"]
    middle = sum(tool.price.usd) / 2
    owner, shop = (quantities_of(WHEEL, car={"commercial": each}) for each in (False, True))
    assert owner.shared["tool:lacing_set"].money == ceil(middle)
    assert shop.shared["tool:lacing_set"].money == ceil(ceil(middle) / tool.jobs)
    assert "tool:lacing_set" not in quantities_of(WHEEL, tools=["lacing_set"]).shared


@pytest.mark.parametrize("job", [demo_job(), *map(read_job, sorted(JOBS.glob("*.json")))], ids=lambda job: job.id)
def test_every_figure_of_a_sample_is_whole_worked_and_known(job: Any) -> None:
    started = perf_counter()
    quantities = measure(job, TRADE)
    assert perf_counter() - started < 1.5
    assert len(job.parts) >= 55
    shown = {"m²": "m²", "m2": "m²", "m_run": "m"}
    for options in quantities.parts:
        levels = len(options.bearings)
        for each in options.courses:
            assert len(each.finish_at) == len(each.points_at) == len(each.redo_at) == levels
            assert all(0 <= finish <= 10 for finish in each.finish_at)
            assert all(0 <= redo < 1 for redo in each.redo_at)
            assert set(each.steps) <= set(quantities.steps)
            assert set(each.once) <= set(quantities.shared)
            assert set(each.finds) <= set(quantities.hidden)
            assert set(each.settles) <= {other.part for other in quantities.parts if other.child_of == options.part}
            assert all(purchase.price.low <= purchase.price.high for purchase in each.purchases)
            for need in each.needs:
                offer = quantities.materials[need.material]
                assert need.worked is not None
                assert need.worked.unit == shown.get(offer.unit, offer.unit)
                assert need.milli == ceil(need.worked.value * 1000 - 1e-6)
            for worked in each.worked:
                assert worked.unit == "min"
                assert each.minutes == ceil(worked.value - 1e-6)
            if each.id != LEAVE:
                assert each.worked
        assert {other.part for other in quantities.parts} >= set(options.rests_on)
    for step in quantities.steps.values():
        assert set(step.requires) <= set(quantities.steps)
    for material in quantities.materials.values():
        assert material.packs
        assert all(pack.supplier in quantities.suppliers for pack in material.packs)


def test_three_times_the_demo_is_measured_in_time() -> None:
    demo = demo_job()
    copies = [
        each.model_copy(update={"id": f"{each.id}.{copy}", "name": f"{each.name} {copy}"})
        for copy in range(3)
        for each in demo.parts
    ]
    many = demo.model_copy(update={"parts": tuple(copies)})
    started = perf_counter()
    assert len(measure(many, TRADE).parts) == 3 * len(demo.parts)
    assert perf_counter() - started < 3


def test_leather_of_one_colour_is_one_material_with_spare_for_the_batch() -> None:
    """0.9 m² of cushion × 1.5 × 9 % spare."""
    cushion = part("fseat_cushion_cover", "leather", 2, "L_worn heavy", place="driver", colour=" Sand ")
    recovered = course(quantities_of(cushion), "fseat_cushion_cover", "leather_recover")
    (hide,) = (need for need in recovered.needs if need.material == "leather_hide:sand")
    rates = dict(TRADE.treatments["leather_recover"].uses)["leather_hide"]
    spare = 1 + TRADE.practice["batch_spare"].value
    by_hand = sum(rate.amount * rate.waste / rate.divisor for rate in rates) * 0.9 * spare
    assert hide.milli == ceil(by_hand * 1000 - 1e-6)
    assert "spare" in str(hide.worked)


def test_what_the_sum_does_not_cover_costs_nothing_and_tax_is_added() -> None:
    bare = quantities_of(WHEEL, money={"covers": ["parts"]})
    wrap = course(bare, "wheel_rim_leather", "wheel_rewrap")
    assert packs_bought(bare, wrap) == 0
    assert all(bare.shared[each].money == 0 for each in wrap.once)
    assert course(bare, "wheel_rim_leather", "new_fit").purchases[0].price.mean == 37900
    taxed = quantities_of(WHEEL, money={"covers": ["parts", "tax"], "tax_percent": 19.0})
    assert course(taxed, "wheel_rim_leather", "new_fit").purchases[0].price.mean == 45101


@pytest.mark.parametrize(("currency", "places", "rate"), [("JPY", 0, 150.0), ("KWD", 3, 0.3), ("GBP", 2, 0.8)])
def test_packs_are_priced_in_the_jobs_currency(currency: str, places: int, rate: float) -> None:
    """ISO 4217 exponents 0, 3 and 2; the facts' price × the rate the user states."""
    quantities = quantities_of(WHEEL, money={"currency": currency, "rates": {"USD": rate}})
    offer = quantities.materials["leather_offcut:"].packs[0]
    low, high = next(pack.price.usd for pack in TRADE.materials["leather_offcut"].packs if pack.id == offer.id)
    assert offer.price == ceil((low + high) / 2 / 100 * rate * 10**places - 1e-6)
    assert offer.price_variance == pytest.approx((high - low) ** 2 / 12 * (rate * 10**places / 100) ** 2, rel=0.05)


def test_a_part_comes_off_only_when_it_must() -> None:
    card = part("door_card_f", "vinyl", 4, "V_faded medium", "V_hard light", place="driver", missing=3)
    quantities = quantities_of(card)
    recovered = course(quantities, "door_card_f", "door_card_recover")
    assert recovered.steps == ("door_card_f.driver",)
    assert "armrest_door.driver" in quantities.steps["door_card_f.driver"].requires
    in_place = course(quantities, "door_card_f", "vinyl_recolour")
    assert in_place.steps == ()
    clips = {each.id: sum(n.milli for n in each.needs if n.material == "clips") for each in (recovered, in_place)}
    assert clips[in_place.id] == 0
    assert clips[recovered.id] >= 3000


def test_hidden_faults_are_one_each_and_what_must_be_dealt_with_is_certain() -> None:
    carpet = part("carpet_main", "carpet", 3, "K_wet medium")
    felt = part("underlay", "felt", 3, "K_wet medium")
    quantities = quantities_of(carpet, felt)
    holes = quantities.hidden["floor_holes"]
    assert holes.certain
    assert quantities.hidden["floor_rust"].certain is False
    dry = quantities_of(carpet, felt, causes={"damp": "none seen"}).hidden["floor_holes"]
    assert dry.chance < holes.chance
    assert dry.loading == 0 < holes.loading
    worn = [
        part(kind, "leather", 3, "L_worn medium", "L_cracked medium", place=place, id=f"{kind}.{place}")
        for kind in ("fseat_cushion_cover", "fseat_back_cover")
        for place in ("driver", "passenger")
    ]
    found = [each for each in quantities_of(*worn).hidden if each.startswith("foam_crushed")]
    assert found == ["foam_crushed@front_seats.driver", "foam_crushed@front_seats.passenger"]


def test_a_plain_clean_in_place_uncovers_nothing() -> None:
    seat = part("fseat_cushion_cover", "leather", 4, "L_dirty heavy", "L_worn light", place="driver")
    quantities = quantities_of(seat)
    assert course(quantities, "fseat_cushion_cover", "leather_clean").finds == ()
    assert course(quantities, "fseat_cushion_cover", LEAVE).finds == ()
    assert course(quantities, "fseat_cushion_cover", "leather_recover").finds


def test_a_hidden_fault_counts_only_for_a_course_that_would_meet_it() -> None:
    """A new cover takes the old surface's faults along, another part its own; what lies behind stays."""
    seat = part("fseat_cushion_cover", "leather", 3, "L_faded medium", "L_cracked medium", place="driver")
    offer = {"source": "used", "low": 10000, "likely": 12000, "high": 15000}
    quantities = quantities_of(seat, part("dash_top", "foam-skin", 3, "D_crack medium", offers=[offer]))
    driver = "@front_seats.driver"
    in_place = course(quantities, "fseat_cushion_cover", "leather_recolour").finds
    assert {f"finish_cracks{driver}", f"old_recolour{driver}"} <= set(in_place)
    assert f"foam_crushed{driver}" not in in_place
    assert course(quantities, "fseat_cushion_cover", "leather_recover").finds == (f"foam_crushed{driver}",)
    assert set(course(quantities, "dash_top", "dash_wrap").finds) == {"dash_foam_rotten@dash", "pad_shrinks@dash"}
    assert course(quantities, "dash_top", "used_fit").finds == ()


def test_what_has_been_looked_at_hides_nothing() -> None:
    seat = part("fseat_cushion_cover", "leather", 3, "L_worn medium", place="driver")
    foam = part("fseat_foam_c", "foam", 7, place="driver")
    assert "foam_crushed@front_seats.driver" in quantities_of(seat).hidden
    assert "foam_crushed@front_seats.driver" in quantities_of(seat, foam | {"finish_now": None}).hidden
    assert "foam_crushed@front_seats.driver" in quantities_of(seat, foam | {"place": "passenger"}).hidden
    assert "foam_crushed@front_seats.driver" not in quantities_of(seat, foam).hidden


def test_what_must_be_dealt_with_needs_a_real_sign() -> None:
    def hidden(extent: str) -> set[str]:
        return set(quantities_of(part("belt_front", "webbing", 5, f"B_dirty {extent}", place="driver")).hidden)

    assert hidden("medium") == set()
    assert hidden("heavy") == {"fray_when_clean@belts.driver"}


def test_sets_and_neighbours_are_found_by_side() -> None:
    parts = [
        part(kind, "vinyl", 5, "V_faded medium", place=place, id=f"{kind}.{place}")
        for kind in ("door_card_f", "armrest_door")
        for place in ("driver", "passenger")
    ]
    quantities = quantities_of(*parts)
    assert [each.parts for each in quantities.sets] == [("door_card_f.driver", "door_card_f.passenger")]
    assert {(each.a, each.b) for each in quantities.neighbours} == {
        ("armrest_door.driver", "door_card_f.driver"),
        ("armrest_door.passenger", "door_card_f.passenger"),
    }
    asked = {"name": "all", "parts": [each["id"] for each in parts], "within": 2}
    own = quantities_of(*parts, wishes={"sets": [asked]})
    assert [(each.name, each.within, len(each.parts)) for each in own.sets] == [("all", 2, 4)]


def test_terms_and_lines_of_the_whole_job() -> None:
    seat = part("rseat_cushion_cover", "cloth", 5, "C_stain medium")
    bare, fitted = quantities_of(seat), quantities_of(seat, car={"equipment": {}})
    assert [each.id for each in bare.lines] == ["photographs"]
    assert [each.id for each in fitted.lines] == ["make_safe", "photographs"]
    assert bare.terms.labour_per_hour == 0
    paid = quantities_of(seat, money={"covers": ["labour"], "labour_rate": 6000}, time={"hours": 40})
    assert (paid.terms.labour_per_hour, paid.terms.minutes, paid.terms.sundries_share) == (6000, 2400, 0.0)


def test_a_part_nobody_has_seen_is_taken_as_typically_worn() -> None:
    quantities = measure(job_of(part("glovebox", "plastic", None)), TRADE)
    assert option(quantities, "glovebox").finish_now == TRADE.practice["unseen_finish"].value
    assert any("Not seen yet" in note for note in quantities.notes)
    assert option(quantities, "glovebox").courses[0].id == LEAVE


def test_what_no_fault_asks_for_is_offered_only_where_it_is_pinned() -> None:
    seat = part("fseat_cushion_cover", "leather", 5, "L_faded medium", place="driver")
    change = "leather_colour_change"
    assert not any(change in each.treatments for each in option(quantities_of(seat), "fseat_cushion_cover").courses)
    pinned = option(quantities_of(seat | {"pin": change}), "fseat_cushion_cover").courses
    assert [each.treatments[-1] for each in pinned if each.pinned] == [change]


def test_nobody_mends_one_fault_of_a_part_that_stays_worn_out() -> None:
    """Common practice, no source: no panel goes into a cover that is faded all over; colour that mends both does."""
    seat = part("rseat_back_cover", "leather", 3, "L_faded heavy", "L_cracked medium")
    courses = {each.id for each in option(quantities_of(seat), "rseat_back_cover").courses}
    assert "leather_panel" not in courses
    assert any(each.endswith("leather_recolour") for each in courses)
    musty = part("carpet_main", "carpet", 2, "K_wet medium", "K_stain heavy")
    assert course(quantities_of(musty), "carpet_main", "carpet_dry").finish_at[0] <= 4

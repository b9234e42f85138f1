"""Finish, life and points against numbers worked by hand."""

from __future__ import annotations

import pytest
from scipy.integrate import quad

from tests.plan.quantities.cabins import TRADE, course, option, part, quantities_of
from trimwright.plan.quantities.cabin import LEAVE, POINT_SCALE
from trimwright.plan.quantities.finish import Slide, mean_finish


@pytest.mark.parametrize(
    ("finish", "life", "now", "slide", "years"),
    [(9, 6, 3, 0.0, 3), (9, 2, 3, 0.4, 4), (7, 1.5, 1, 0.6, 5), (8, 12, 5, 0.2, 3), (6, 0.5, 6, 0.1, 2)],
)
def test_mean_finish_is_the_area_under_the_line(
    finish: float, life: float, now: float, slide: float, years: float
) -> None:
    """Reference: numerical integration of the curve as it is told in words."""

    def at(year: float) -> float:
        def left(when: float) -> float:
            return max(0.0, now - slide * when)

        return finish + (left(life) - finish) * year / life if year < life else left(year)

    breaks = [each for each in (life, now / slide if slide else None) if each is not None and each < years]
    area, _ = quad(at, 0, years, points=breaks or None)
    assert mean_finish(finish, life, Slide(now, slide), years) == pytest.approx(area / years, abs=1e-6)


def test_points_of_a_recovered_seat_by_hand() -> None:
    """Passenger's cushion, 0.9 m², finish 5 with medium fading (slide 0.2 a year), held for 3 years.

    weight = (3 + 3) × (0.9 / 0.3)^0.35. Left: the mean of 5 − 0.2·t over 3 years is 4.7. Re-covered: 9 falling over
    its life of L years to 5 − 0.2·L, so the mean over 3 years is 9 − (9 − (5 − 0.2·L))·3 / (2·L).
    """
    cushion = part("fseat_cushion_cover", "leather", 5, "L_faded medium", place="passenger", colour="sand")
    quantities = quantities_of(cushion)
    weight = round(6 * 3**0.35, 4)
    assert option(quantities, "fseat_cushion_cover").weight == weight
    assert course(quantities, "fseat_cushion_cover", LEAVE).points_at == (round(weight * 4.7 * POINT_SCALE),)
    recovered = course(quantities, "fseat_cushion_cover", "leather_recover")
    years = TRADE.treatments["leather_recover"].life_years[1] / TRADE.parts["fseat_cushion_cover"].wear
    assert recovered.life_years == years
    mean = 9 - (9 - (5 - 0.2 * years)) * 3 / (2 * years)
    assert recovered.finish_at == (9,)
    assert recovered.points_at == (round(weight * mean * POINT_SCALE),)


def test_a_wish_for_originality_is_paid_by_what_is_kept() -> None:
    """Practice: keeping the whole original is worth 2 finish steps to the owner who wants it most."""
    cushion = part("fseat_cushion_cover", "leather", 5, "L_faded medium", place="passenger", colour="sand")
    plain, wished = quantities_of(cushion), quantities_of(cushion, wishes={"originality": 0.5})
    weight = option(plain, "fseat_cushion_cover").weight
    for ending in (LEAVE, "leather_recover", "leather_recolour"):
        without, within = (course(each, "fseat_cushion_cover", ending) for each in (plain, wished))
        gained = within.points_at[0] - without.points_at[0]
        assert gained == pytest.approx(weight * 2 * 0.5 * without.kept * POINT_SCALE, abs=1)


def test_cleaning_a_torn_cushion_does_not_make_it_an_eight() -> None:
    """Medium tear: cap 3. Cleaning lifts the dirt and leaves the tear."""
    torn = part("fseat_cushion_cover", "leather", 2, "L_torn medium", "L_dirty medium", place="driver")
    assert course(quantities_of(torn), "fseat_cushion_cover", "leather_clean").finish_at == (3,)


def test_cleaning_what_is_only_dirty_gives_its_best() -> None:
    dirty = part("door_card_f", "vinyl", 5, "V_dirty medium", place="driver")
    best = TRADE.treatments["vinyl_clean"].finish[2]
    assert course(quantities_of(dirty), "door_card_f", "vinyl_clean").finish_at == (best,)


def test_a_first_that_is_a_mend_caps_at_its_best() -> None:
    """Fine cracks filled reach 7 at best, so the colour over them does not reach more."""
    cracked = part("fseat_cushion_cover", "leather", 4, "L_cracked medium", place="driver")
    coloured = course(quantities_of(cracked), "fseat_cushion_cover", "leather_recolour")
    assert "leather_crack_fill" in coloured.treatments
    assert coloured.finish_at[0] <= TRADE.treatments["leather_crack_fill"].finish[2]


def test_an_unexplained_finish_is_raised_by_two_at_most_and_noted() -> None:
    """Finish 2 and only a light scuff (cap 8): something has not been named."""
    odd = part("door_card_f", "vinyl", 2, "V_burn light", place="driver")
    quantities = quantities_of(odd)
    cleaned = course(quantities, "door_card_f", "vinyl_clean")
    assert cleaned.finish_at == (4,)
    assert any("not explained" in note for note in quantities.notes)
    named = part("door_card_f", "vinyl", 5, "V_burn light", place="driver")
    assert not any("not explained" in note for note in quantities_of(named).notes)


def test_an_offer_with_a_known_finish_uses_it() -> None:
    offer = {"source": "used", "low": 100, "likely": 200, "high": 300, "finish": 8}
    worn = part("glovebox", "plastic", 3, "P_tab heavy", offers=[offer, offer | {"finish": 5}])
    quantities = quantities_of(worn)
    assert course(quantities, "glovebox", "used_fit").finish_at == (8,)
    assert course(quantities, "glovebox", "used_fit~2").finish_at == (5,)


def test_a_cover_over_dead_foam_looks_bad() -> None:
    """Crumbled foam (medium: cap 3) holds the new cover down; new foam lets it be what it can."""
    cover = part("fseat_cushion_cover", "leather", 2, "L_worn heavy", place="passenger", colour="red")
    foam = part("fseat_foam_c", "foam", 3, "F_crumb medium", place="passenger")
    quantities = quantities_of(cover, foam)
    options = option(quantities, "fseat_cushion_cover")
    assert options.rests_on == ("fseat_foam_c",)
    assert options.bearings[0] > options.bearings[-1] == 3
    recovered = course(quantities, "fseat_cushion_cover", "leather_recover")
    assert recovered.finish_at[0] == 9
    assert recovered.finish_at[-1] == 3
    assert recovered.points_at[0] > recovered.points_at[-1]
    assert recovered.redo_at[-1] == pytest.approx(recovered.redo_at[0] + 3 * 0.1)
    assert course(quantities, "fseat_foam_c", LEAVE).bears == 3
    assert course(quantities, "fseat_foam_c", "foam_new").bears == 10
    assert option(quantities, "fseat_foam_c").weight == 0


def test_a_frame_bears_through_the_foam() -> None:
    cover = part("fseat_cushion_cover", "leather", 2, "L_worn heavy", place="driver")
    foam = part("fseat_foam_c", "foam", 8, place="driver")
    frame = part("fseat_frame", "steel", 3, "F_sag heavy", place="driver")
    options = option(quantities_of(cover, foam, frame), "fseat_cushion_cover")
    assert set(options.rests_on) == {"fseat_foam_c", "fseat_frame"}
    assert options.bearings[-1] == TRADE.faults["F_sag"].caps[2]


def test_damp_left_counts_for_the_whole_cabin() -> None:
    """Practice: a heavy smell left costs a fifth of all weight in finish steps; a medium one two thirds of that."""
    carpet = part("carpet_main", "carpet", 7)
    felt = part("underlay", "felt", 2, "K_wet medium")
    quantities = quantities_of(carpet, felt)
    weight = sum(each.weight for each in quantities.parts)
    assert course(quantities, "underlay", LEAVE).points_at == (round(-0.2 * weight * 2 / 3 * POINT_SCALE),)
    assert course(quantities, "underlay", "underlay_new").points_at == (0,)


def test_number_scales_cost_and_not_importance() -> None:
    one, twelve = (quantities_of(part("buttons", "plastic", 4, "P_legend medium", count=count)) for count in (1, 12))
    assert option(one, "buttons").weight == option(twelve, "buttons").weight
    assert course(twelve, "buttons", "button_letter").minutes > course(one, "buttons", "button_letter").minutes


@pytest.mark.parametrize(
    ("kind", "material", "fault"),
    [
        ("stalks", "plastic", "P_dirty"),
        ("door_card_f", "vinyl", "V_dirty"),
        ("fseat_cushion_cover", "leather", "L_dirty"),
        ("fseat_cushion_cover", "cloth", "C_dirty"),
        ("mats", "carpet", "K_dirty"),
    ],
)
def test_a_dirty_but_sound_part_comes_clean_and_stays_so_for_a_while(kind: str, material: str, fault: str) -> None:
    """Common practice, no source: what is only dirty cleans up well, and ten years of dirt are not back in months."""
    place = "driver" if TRADE.parts[kind].places else None
    dirty = part(kind, material, 6, f"{fault} light", place=place)
    cleans = [each for each in option(quantities_of(dirty), kind).courses if each.kind == "clean"]
    best = max(cleans, key=lambda each: each.points_at[0])
    assert best.finish_at[0] in (7, 8)
    assert TRADE.treatments[best.treatments[-1]].life_years[1] >= 1.5
    assert best.points_at[0] > course(quantities_of(dirty), kind, LEAVE).points_at[0]

"""Questions at the workbench: what they refuse, what they never say, that they are quick, slips at once."""

from __future__ import annotations

import json
import time

import pytest

from trimwright.craft.answer import Answer
from trimwright.craft.workbench import QUESTIONS, ask
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.facts.workbench import load_workbench

GOOD: dict[str, dict[str, str]] = {
    "air coat": {"air": "20 C", "humidity": "60 %", "surface": "18 C", "dries": "30 min"},
    "air tin": {"tin": "clear_can", "place": "garage-open"},
    "coats mix": {"area": "1.2 m2", "tin": "clear_2k", "coats": "2", "ratio": "4:1:1", "cup": "0.2 L"},
    "coats film": {"wet": "80 um", "solids": "35 %"},
    "coats grit": {"start": "P120"},
    "torque": {"thread": "M8", "class": "8.8", "holds": "trim"},
}
"""One plain case of every question."""


def refused(question: str, **typed: str) -> list[str]:
    with pytest.raises(BadInput) as error:
        ask(question, {name.rstrip("_"): text for name, text in typed.items()})
    assert all(each.way_out for each in error.value.problems)
    return [each.where for each in error.value.problems]


def figure(answer: Answer, name: str) -> float:
    (found,) = (each.worked.value for each in answer.figures if each.name == name)
    return found


def test_every_question_has_its_case() -> None:
    assert set(GOOD) == set(QUESTIONS)


@pytest.mark.parametrize("question", QUESTIONS)
def test_an_answer_is_quick_and_shows_its_working(question: str) -> None:
    ask(question, GOOD[question])  # the library of humid air is imported once
    started = time.perf_counter()
    answer = ask(question, GOOD[question])
    assert time.perf_counter() - started < 0.1
    assert answer.figures
    assert all(each.worked.source and "=" in str(each.worked) for each in answer.figures)
    assert set(answer.cautions) <= set(load().cautions)
    json.dumps(answer.plain())


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_line_has_an_example_that_can_be_read(question: str) -> None:
    """A form shows it in the empty line."""
    for line in QUESTIONS[question].asks:
        assert line.example or line.offers
        if line.offers:
            assert line.example in line.offers
            assert line.usual in ("", *line.offers)


# ---- air -------------------------------------------------------------------------------------------------------------


def test_no_answer_on_air_calls_anything_safe() -> None:
    """Only below or above a limit, whose it is, and which year's; the data sheet and local rules go before it."""
    for place in load_workbench().places:
        for tin, coat in load_workbench().coats.items():
            answer = ask("air tin", {"tin": tin, "place": place, "mask": "air-fed"})
            told = " ".join([answer.told, *answer.steps, *(each.told for each in answer.limits)])
            assert " safe" not in told
            assert any("data sheet" in each and "local rules" in each for each in answer.notes)
            assert "solvent" in answer.cautions
            assert ("isocyanate" in answer.cautions) == coat.isocyanate
            for limit in answer.limits:
                assert any(word in limit.source for word in ("NIOSH", "OSHA", "WAC"))


@pytest.mark.parametrize("mask", ["none", "filter", "air-fed"])
@pytest.mark.parametrize("place", load_workbench().places)
def test_isocyanate_is_refused_without_booth_and_air_fed_mask(place: str, mask: str) -> None:
    """UK HSE: filter masks are not suitable for spraying isocyanate paint; a booth, or a room built for it."""
    answer = ask("air tin", {"tin": "clear_2k", "place": place, "mask": mask})
    if load_workbench().places[place].extracted and mask == "air-fed":
        assert not answer.refused
        assert "solvents alone" in answer.told
    else:
        assert answer.refused
        assert not answer.steps
        assert not [each for each in answer.figures if "air flow" in each.name or "wait" in each.name]
        assert not [each for each in answer.limits if each.holds]
        assert ("filter mask" in answer.refused) == (mask == "filter")
    assert any("visor stays down" in each for each in answer.notes)


def test_a_booth_with_its_fan_off_is_an_ordinary_room() -> None:
    assert ask("air tin", {"tin": "clear_2k", "place": "booth", "mask": "air-fed", "flow": "0"}).refused


def test_no_filter_mask_is_left_to_rely_on_in_air_that_is_at_once_dangerous() -> None:
    """29 CFR 1910.134(d)(2), from memory: above the IDLH only supplied air protects."""
    in_a_garage = {"tin": "clear_can", "room": "19.8 m3", "flow": "1 /h", "amount": "0.4 L"}
    assert ask("air tin", in_a_garage).steps[0].startswith("Not with a filter mask")
    little = ask("air tin", in_a_garage | {"amount": "0.02 L"})
    assert not any("filter mask" in each for each in little.steps)


def test_an_unknown_tin_asks_for_its_label() -> None:
    typed = {"solvents": "acetone 40 %, toluene 20 %", "amount": "0.1 L", "dries": "20 min"}
    assert "Look on the label for isocyanate first" in ask("air tin", typed).told
    assert ask("air tin", {**typed, "isocyanate": "yes"}).refused
    plain = ask("air tin", {**typed, "isocyanate": "no"})
    assert "isocyanate" not in " ".join([plain.told, *plain.notes])


def test_a_hardener_stirred_in_is_asked_for() -> None:
    """Crosslinker of leather colour is isocyanate in some makes and not in others."""
    answer = ask("air tin", {"tin": "leather_topcoat", "amount": "0.2 L"})
    assert any("crosslinker" in each for each in answer.notes)
    assert ask("air tin", {"tin": "leather_topcoat", "amount": "0.2 L", "isocyanate": "yes"}).refused


def test_a_can_in_a_closed_car_is_past_the_lower_explosive_limit() -> None:
    answer = ask("air tin", {"tin": "clear_can", "place": "cabin"})
    assert "past the lower explosive limit" in answer.told
    assert figure(answer, "of the lower explosive limit") > 100


def test_what_no_source_was_read_for_is_said() -> None:
    (note,) = (each for each in ask("air tin", {"tin": "spray_glue"}).notes if "no source read" in each)
    assert "LEL of propane" in note
    assert not any("no source read" in each for each in ask("air tin", {"tin": "ipa", "amount": "0.1 L"}).notes)


def test_still_air_never_clears() -> None:
    answer = ask("air tin", {"tin": "degreaser", "amount": "0.05 L", "flow": "0"})
    assert any("never clears" in each for each in answer.steps)
    assert not [each for each in answer.figures if "wait" in each.name]


def test_air_flow_is_read_in_every_way_it_is_told() -> None:
    def peak(flow: str) -> float:
        typed = {"tin": "ipa", "amount": "0.1 L", "room": "50 m3", "flow": flow}
        return figure(ask("air tin", typed), "highest, all vapours together")

    assert peak("6 /h") == pytest.approx(peak("300 m3/h"))
    assert peak("176.573 cfm") == pytest.approx(peak("300 m3/h"), rel=1e-4)
    assert peak("0") > peak("300 m3/h")


def test_every_slip_on_air_is_told_at_once() -> None:
    assert refused("air coat", air="20", humidity="140 %", surface="-80 C", coldest="warm") == [
        "air", "relative humidity", "surface", "least warmth of the data sheet",
    ]  # fmt: skip
    assert refused("air coat") == ["air", "relative humidity", "surface"]
    assert refused(
        "air tin", tin="mystery", amount="0.4", place="moon", room="-50 m3", flow="fast", mixing="0", dries="20",
        air="20", mask="scarf", isocyanate="perhaps",
    ) == [
        "tin", "place", "tin", "amount used", "volume of the room", "air flow", "mixing, 1 well to 10 badly",
        "time until it is dry", "air", "mask", "isocyanate in it",
    ]  # fmt: skip
    shares = "acetone 90 %, unobtainium 5 %, toluene"
    assert refused("air tin", solvents=shares, amount="0.1 L", dries="5 min") == ["solvents of the data sheet"] * 2
    assert refused("air tin", solvents="acetone 90 %, toluene 20 %", amount="0.1 L", dries="5 min")
    assert refused("air tin", solvents="acetone 90 %, acetone 5 %", amount="0.1 L", dries="5 min")


def test_the_margin_is_told_with_a_hygrometer_that_reads_too_low() -> None:
    answer = ask("air coat", {"air": "20 C", "humidity": "60 %", "surface": "15.5 C"})
    assert all(each.holds for each in answer.limits)
    assert any("hide" in each for each in answer.notes)


# ---- coats -----------------------------------------------------------------------------------------------------------


def test_a_mix_is_weighed_one_part_after_the_other() -> None:
    typed = {"area": "1 m2", "film": "30 um", "solids": "50 %", "transfer": "60 %", "ratio": "4:1:1",
             "densities": "1.2:1.0:0.9"}  # fmt: skip
    answer = ask("coats mix", typed)
    # 1 m² × 30 µm ÷ 1000 ÷ 0.5 ÷ 0.6 = 0.1 L, of which 4, 1 and 1 sixths weigh 80, 16.7 and 15 g
    assert "100 mL in all" in answer.told
    (step,) = answer.steps
    scale = "colour or clear until the scale reads 80.0 g; hardener until the scale reads 96.7 g"
    assert step == f"Tare the cup, then pour {scale}; thinner until the scale reads 111.7 g."


def test_a_small_cup_or_a_short_pot_life_means_more_mixes() -> None:
    typed = {"area": "1 m2", "film": "30 um", "solids": "50 %", "transfer": "60 %", "ratio": "2:1", "coats": "3"}
    assert "in 2 mixes" in ask("coats mix", {**typed, "cup": "0.2 L"}).told
    short = ask("coats mix", {**typed, "pot": "20 min", "flash": "15 min"})
    assert "in 3 mixes" in short.told
    assert all(each.holds for each in short.limits)
    dead = ask("coats mix", {**typed, "pot": "1 min", "gun": "0.01 L/min"})
    assert "dies in the pot" in dead.told


def test_every_slip_on_coats_is_told_at_once() -> None:
    assert refused("coats mix", area="-1 m2", film="25", solids="0 %", transfer="0", coats="0", ratio="4-1") == [
        "area", "dry film, each coat", "solids by volume, ready for the gun", "share of it that lands on the part",
        "coats", "mixing ratio by volume",
    ]  # fmt: skip
    assert refused("coats mix", area="1 m2", tin="ipa")
    assert refused("coats mix", **GOOD["coats mix"], densities="1.1:1") == ["densities"]
    assert refused("coats film", wet="80 um", dry="20 um", solids="140 %") == ["wet film", "solids by volume"]
    assert refused("coats film", solids="30 %") == ["wet film"]
    assert refused("coats grit", start="P7", to="F180") == ["grit whose scratches are there", "grit to end with"]


def test_papers_at_hand_that_jump_too_far_are_told() -> None:
    answer = ask("coats grit", {"start": "P120", "papers": "P240 P800"})
    assert answer.told.startswith("P120 → P240 → P800.")
    assert "too wide" in answer.told
    assert "P800, or finer" in ask("coats grit", {"start": "1000"}).told


# ---- bolts -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("holds", ["belt", "seat", "airbag", "steering wheel"])
def test_what_holds_people_gets_no_figure(holds: str) -> None:
    answer = ask("torque", {"thread": "M10", "class": "8.8", "holds": holds})
    assert answer.refused
    assert not answer.figures
    assert not answer.limits
    told = ask("torque", {"torque": "34 lbf·ft", "holds": holds})
    assert told.refused
    assert [round(each.worked.value, 1) for each in told.figures] == [46.1, 34.0, 408.0, 4.7]


def test_a_general_figure_stays_inside_the_proof_load_in_every_state() -> None:
    for state in load_workbench().bolt_threads:
        for thread in ("M4", "M6", "M8", "M10x1.25", "M16"):
            for grade in ("5.8", "8.8", "10.9", "12.9"):
                answer = ask("torque", {"thread": thread, "class": grade, "state": state, "holds": "trim"})
                assert all(each.holds for each in answer.limits)
                assert "General figure" in answer.told


def test_too_much_is_held_against_the_proof_load() -> None:
    answer = ask("torque", {"torque": "40 N·m", "thread": "M8", "class": "8.8", "state": "oiled", "holds": "trim"})
    assert "may pass the proof load" in answer.told
    # the tension is told at its lowest and highest: 40 N·m ÷ (0.26 × 8 mm) and ÷ (0.10 × 8 mm)
    assert figure(answer, "tension, lowest") == pytest.approx(19_231, abs=1)
    assert figure(answer, "tension, highest") == pytest.approx(50_000, abs=1)


def test_every_slip_on_a_bolt_is_told_at_once() -> None:
    assert refused("torque", torque="46", thread="M7", class_="9", state="wet") == [
        "torque", "thread", "property class on the head", "state of the thread", "what the bolt holds",
    ]  # fmt: skip
    assert refused("torque") == ["torque"]
    assert refused("torque", thread="M8", holds="trim") == ["property class on the head"]
    assert refused("torque", torque="5000 N·m") == ["torque"]
    assert refused("torque", bogus="1", torque="46 N·m") == ["bogus"]

"""`strip`, `rebuild` and the fixings ledger on the command line: holds told, slips refused, a job that closes."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Trimwright

SEAT, BOLTS = "fseat_off.driver", "bolts or nuts to the floor"
BELT_STEP, ANCHORS = "belt_front.driver", "anchor bolts"
KNOB_STEP = "knob_gear"


def test_strip_tells_the_way_in_and_writes_its_papers(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("strip", small, "--out", "apart")
    assert ran.code == 0, ran.err
    assert ran.out.index("Battery negative off") < ran.out.index("Front seat out of car")
    assert "Wait 30 min" in ran.out
    assert {each.name for each in Path("apart").iterdir()} == {"strip-down-sheet.pdf", "bag-labels.pdf"}
    told = trimwright("strip", small, "--json").json
    assert [each["id"] for each in told["moves"]][:4] == ["record", "ready", "battery_off", "wait"]
    assert told["safe_wait"]["minutes"] == 30
    assert told["safe_wait"]["own_book"] is False
    assert {each["state"] for each in told["bags"]} == {"to fill"}


def test_rebuild_tells_blanks_and_gates(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("rebuild", small, "--out", "back", "--letter")
    assert ran.code == 0, ran.err
    assert "blank: enter the book's" in ran.out
    assert {each.name for each in Path("back").iterdir()} == {"rebuild-sheet.pdf", "test-sheet.pdf"}
    told = trimwright("rebuild", small, "--json").json
    assert [each["id"] for each in told["moves"]][-4:] == ["battery_on", "lamp", "power", "hand_over"]
    assert all(each["newton_metres"] is None for each in told["torques"] if each["holds"])
    assert [each["what"] for each in told["open"]] == [
        "must be dealt with and is not noted as done.", "lacks 18 of 18 tests.", "is not signed.",
    ]  # fmt: skip


def test_a_wish_comes_early_and_a_slip_is_refused(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("strip", small, "--first", "sun_visor.driver", "--json")
    off = [each["step"] for each in ran.json["moves"] if each["doing"] == "off"]
    assert off[0] == "sun_visor.driver"
    slip = trimwright("strip", small, "--first", "sun_viser.driver", "--first", "nothing")
    assert slip.code == 2
    assert slip.err.startswith("2 problems:")
    assert "Did you mean 'sun_visor.driver'" in slip.err


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("fixing", SEAT, BOLTS, "--torque", "46"), "no torque with its unit"),
        (("fixing", SEAT, "bolts or nuts to floor", "--torque", "46 Nm"), f"Did you mean '{BOLTS}'"),
        (("fixing", "seat", BOLTS, "--torque", "46 Nm"), "is no strip-down step of this cabin"),
        (("fixing", SEAT, BOLTS), "tells nothing"),
        (("fixing", SEAT, BOLTS, "--thread", "5/16"), "is no metric thread"),
        (("tightened", SEAT, BOLTS, "5000 Nm"), "not between 0 and 500"),
        (("bag", KNOB_STEP, "lost"), "is none of: filled, back, written-off"),
        (("bag", KNOB_STEP, "back"), "was never filled"),
        (("bag", KNOB_STEP, "written-off"), "without a reason"),
        (("book-wait", "0", "--page", "4"), "less than 1"),
        (("check", "loom"), "Did you mean 'looms'"),
        (("tested", "--passed", "horns"), "Did you mean 'horn'"),
        (("tested",), "tells nothing"),
        (("put-right", "squeak"), "leads nowhere"),
        (("snag", "squeaks", "--part", "knobs"), "Did you mean 'knob'"),
    ],
)
def test_a_slip_is_refused_and_nothing_is_lost(
    arguments: tuple[str, ...], told: str, trimwright: Trimwright, small: Path
) -> None:
    before = small.read_bytes()
    ran = trimwright("log", arguments[0], small, *arguments[1:])
    assert ran.code == 2
    assert told in ran.err
    assert ".." not in ran.err
    assert small.read_bytes() == before


def test_a_bag_comes_back_once(trimwright: Trimwright, small: Path) -> None:
    for state in ("filled", "back"):
        assert trimwright("log", "bag", small, KNOB_STEP, state).code == 0
    twice = trimwright("log", "bag", small, KNOB_STEP, "back")
    assert twice.code == 2
    assert "is back already" in twice.err


def test_a_job_closes_when_everything_is_home(trimwright: Trimwright, small: Path) -> None:
    def log(*arguments: str) -> None:
        ran = trimwright("log", arguments[0], small, *arguments[1:])
        assert ran.code == 0, ran.err

    log("opened", SEAT)
    log("bag", SEAT, "filled")
    refused = trimwright("log", "handed-over", small, "--yes", "Kim")
    assert refused.code == 2
    for each in ("is off.", "is open.", "has no torque from the car's own book."):
        assert each in refused.err
    log("fixing", SEAT, BOLTS, "--torque", "34 lbf·ft", "--page", "2")
    log("opened", SEAT, "--back-on")
    log("tightened", SEAT, BOLTS, "46 N·m")
    log("bag", SEAT, "written-off", "--note", "new bolts from the maker")
    log("done", "belt", "--course", "belt_replace", "--hours", "1:00")
    log("fixing", BELT_STEP, ANCHORS, "--torque", "45 N·m", "--page", "3")
    log("tightened", BELT_STEP, ANCHORS, "45 N·m")
    log("snag", "squeaks over bumps", "--part", "knob")
    log("tested", "--all-passed", "--trained", "the dealer's workshop", "--yes", "Sam")
    open_still = trimwright("log", "handed-over", small)
    assert open_still.err.startswith("2 problems:")
    assert "is not noted as paid. Note what it cost: trimwright log bought JOB PAID --part belt" in open_still.err
    assert (
        "squeaks over bumps: is not put right. Put it right, then: trimwright log put-right JOB snag" in open_still.err
    )
    log("bought", "180", "--part", "belt", "--source", "new")
    log("put-right", "snag", "--hours", "0:20")
    log("handed-over", "--yes", "Kim")
    told = trimwright("log", "show", small).out
    assert "Handed over, to Kim (in person)" in told
    assert "Snag on Gear knob: squeaks over bumps, put right, 0 h 20" in told
    assert "Tested: 18 passed, by the dealer's workshop, of licensed practice" in told

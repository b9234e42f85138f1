"""The job's history from the command line: every event noted, slips refused, a find weighed and answered."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.cli.conftest import Trimwright
from tests.plan.small_cabin import BELT, CUSHION, KNOB

YES = ("--yes", "Kim", "--how", "call")


def events(job: Path) -> list[dict[str, object]]:
    found: list[dict[str, object]] = json.loads(job.read_text(encoding="utf-8"))["events"]
    return found


def words_of(paper: Path) -> str:
    """All text of a paper on one line."""
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(paper.read_bytes())).pages)
    return " ".join(text.replace("\u200b", "").split())


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (("note", "owner rang"), "note: Note: owner rang"),
        (("look", "wire_rubbing", "--not-there", "--part", CUSHION), "Look taken for wire_rubbing"),
        (("opened", "carpet_main", "--hours", "0:40"), "opened: Opened: main carpet, 0 h 40"),
        (("done", KNOB, "--course", "used_fit", "--finish", "7", "--hours", "30 min"), "Done: Gear knob, used_fit"),
        (("bought", "8.50", "--material", "cloths", "--pack", "cloths-20"), "Bought: 1 × cloths (cloths-20)"),
        (("bought", "26", "--part", KNOB, "--source", "used"), "Bought: Gear knob, used for 26 EUR"),
        (("bought", "5", "--carriage", "--seller", "trimmings"), "Bought: carriage for 5 EUR"),
        (("spent", "a wrong part", "--money", "12", "--hours", "1"), "Spent: a wrong part, 12 EUR, 1 h"),
        (("released", BELT, *YES), "Released: Front belt"),
        (
            ("worked", "visor/visor_recover/1", "finished", "--hours", "0:20"),
            "Finished: Sun visor, driver's, re-cover sun visor, 1, 0 h 20",
        ),
        (("worked", "off:carpet_main", "begun"), "worked: Begun: main carpet off"),
        (("air", "64.4 F", "55%"), "air: Air: 18 °C, 55 % humidity"),
    ],
)
def test_an_event_is_noted_and_told(arguments: tuple[str, ...], line: str, trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("log", arguments[0], small, *arguments[1:], "--at", "2026-03-05T10:00:00")
    assert ran.code == 0, ran.err
    assert line in ran.out
    assert [(each["kind"], each["at"]) for each in events(small)] == [(arguments[0], "2026-03-05T10:00:00")]
    assert line.partition(": ")[2].partition(",")[0] in trimwright("log", "show", small).out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("log", "opened", "carpet_man"), "Did you mean 'carpet_main'"),
        (("log", "done", "knobb", "--course", "used_fit"), "is no part of this job"),
        (("log", "done", KNOB), "nothing is promised for the part"),
        (("log", "done", KNOB, "--course", "used_fitt"), "is no treatment the trade knows"),
        (("log", "worked", "off:carpet_man", "begun"), "is no strip-down step of this cabin"),
        (("log", "worked", "viser/visor_recover/1", "begun"), "Did you mean 'visor'"),
        (("log", "worked", "visor/visor_recover/1", "over"), "is none of: begun, finished"),
        (("log", "air", "18", "55%"), "is no temperature with its unit"),
        (("log", "air", "18 C", "55"), "is not above 0 and up to 100 %"),
        (("log", "done", BELT, "--course", "vinyl_recolour"), "is no treatment of a part that holds people"),
        (("log", "bought", "5"), "names nothing that was bought"),
        (("log", "bought", "40", "--part", BELT, "--source", "used"), "is no source of a part that holds people"),
        (("log", "bought", "5", "--carriage", "--tool", "steamer"), "names tool and carriage at once"),
        (("log", "bought", "five", "--carriage"), "paid: 'five'"),
        (("log", "bought", "5", "--material", "cloths", "--pack", "cloths-19"), "is no pack of it"),
        (("log", "look", "wire_rubbin", "--there"), "is no fault the trade looks for"),
        (("log", "spent", "x", "--find", "f1"), "is the id of no find"),
        (("log", "note", "x", "--at", "yesterday"), "is not a date and time"),
        (("log", "answer", "f1", "maybe"), "is none of: reserve, drop, leave"),
        (("log", "returned", "b1", "5"), "leads nowhere"),
        (("found", "rust"), "neither"),
        (("found", "rust", "--step", "carpet_main", "--money", "1/2"), "neither one figure nor three"),
        (("found", "rust", "--step", "carpet_main", "--money", "3/2/4"), "must not fall"),
        (("found", "rust", "--step", "carpet_main", "--must", "--left-finish", "4"), "left_finish"),
        (("change", "f1"), "is no find of this job"),
        (("change", "f1", "--out", "sheet.txt"), "does not end in .pdf"),
    ],
)
def test_a_slip_is_refused_and_the_job_stays_as_it_was(
    arguments: tuple[str, ...], told: str, trimwright: Trimwright, small: Path
) -> None:
    before = small.read_bytes()
    command = 2 if arguments[0] == "log" else 1
    ran = trimwright(*arguments[:command], small, *arguments[command:])
    assert ran.code == 2
    assert told in ran.err
    assert small.read_bytes() == before


def test_nothing_comes_off_while_fuel_can_be_smelt(trimwright: Trimwright, small: Path) -> None:
    trimwright("log", "intake", small, "ok", "--fuel-smell", *YES)
    before = small.read_bytes()
    ran = trimwright("log", "opened", small, "carpet_main")
    assert ran.code == 2
    assert "Fuel: can be smelt" in ran.err
    assert small.read_bytes() == before
    assert "! Fuel can be smelt" in trimwright("strip", small).err
    assert "! Fuel can be smelt" in trimwright("today", small, "--seconds", "0.1").err
    trimwright("log", "intake", small, "ok", *YES)
    assert "Fuel" not in trimwright("strip", small).err
    assert trimwright("log", "opened", small, "carpet_main").code == 0


SEAT, BOLTS = "fseat_off.driver", "bolts or nuts to the floor"


def test_what_is_noted_against_safety_is_told_at_once_and_kept(trimwright: Trimwright, small: Path) -> None:
    """Common practice, no source: a battery on, a wrench off the book, a broken seat bolt, an anchor left alone."""
    assert "! The battery's negative is not noted as off." in trimwright("log", "opened", small, SEAT).err
    assert "! The restraint lamp was not right before the work" in trimwright("log", "intake", small, "on", *YES).err
    trimwright("log", "opened", small, "battery_off")
    assert "are not safe to touch yet. Not before " in trimwright("log", "opened", small, SEAT).err
    trimwright("log", "fixing", small, SEAT, BOLTS, "--torque", "46 N·m")
    off = trimwright("log", "tightened", small, SEAT, BOLTS, "27 N·m")
    assert "! It was tightened to 27 N·m (19.9 lbf·ft); the car's own book says 46 N·m (33.9 lbf·ft)" in off.err
    assert trimwright("log", "tightened", small, SEAT, BOLTS, "46 N·m").err == ""
    assert "never from a bag of clips" in trimwright("log", "bag", small, SEAT, "filled", "--broken", "2").err
    assert "note it with --must" in trimwright("found", small, "rust at the bolt", "--step", SEAT).err
    assert trimwright("found", small, "rust at the bolt", "--step", SEAT, "--must").err == ""
    assert trimwright("found", small, "a torn seam", "--part", CUSHION).err == ""
    assert "lies ahead" in trimwright("log", "note", small, "rang", "--at", "2206-11-26T10:00").err
    assert len(events(small)) == 12


def test_what_went_back_is_not_here_any_more(trimwright: Trimwright, small: Path) -> None:
    trimwright("log", "bought", small, "26", "--part", KNOB, "--source", "used")
    ran = trimwright("log", "returned", small, "bought", "20")
    assert "gone back for 20 EUR" in ran.out
    assert [each["returned"] for each in events(small)] == [2000]


def test_a_plan_promised_a_find_weighed_and_answered(trimwright: Trimwright, small: Path, tmp_path: Path) -> None:
    assert "Promised for 1,550 EUR: 8 parts, yes by Kim (call)" in trimwright("log", "promised", small, *YES).out
    found = trimwright("found", small, "rust in the sill", "--step", "carpet_main", "--money", "100/150/220",
                       "--hours", "1/2/3", "--photo", "sill.jpg", "--id", "rust")  # fmt: skip
    assert "rust: Find on carpet_main: rust in the sill, 100 to 220 EUR, 1 h to 3 h" in found.out
    paper = tmp_path / "rust.pdf"
    change = trimwright("change", small, "rust", "--out", paper)
    assert change.code == 0
    for told in ("from the reserve", "drop others for it", "leave and record", "every verdict stands", "sill.jpg"):
        assert told in change.out
    printed = words_of(paper)
    for told in ("Change sheet", "Rust in the sill", "sill.jpg", "The reserve pays", "how given", "most likely 150"):
        assert told in printed
    shape = trimwright("change", small, "rust", "--json").json
    assert [way["answer"] for way in shape["ways"]] == ["from the reserve", "drop others for it", "leave and record"]
    assert {"money", "finish", "minutes", "status", "changed", "lets_go"} <= shape["ways"][0].keys()
    answer = trimwright("log", "answer", small, "rust", "leave", *YES)
    assert "leave and record" in answer.out
    assert trimwright("change", small, "rust", "--out", paper).code == 0
    assert "Answered: It is left and recorded. Yes by Kim" in words_of(paper)
    decided = trimwright("decide", small, "--json").json
    assert decided["status"] == "optimal"
    assert all(each["promised"] for each in decided["verdicts"] if not each["settled_by"])

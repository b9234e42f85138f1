"""`air`, `coats` and `torque` on the command line: the answer, its working, its JSON, its picture, and slips."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.cli.conftest import Trimwright
from tests.craft.test_workbench import GOOD
from tests.plan.small_cabin import VISOR


def options(typed: dict[str, str]) -> list[str]:
    return [word for name, text in typed.items() for word in (f"--{name}", text)]


@pytest.mark.parametrize("question", GOOD)
def test_a_question_is_answered_with_its_working(trimwright: Trimwright, question: str) -> None:
    ran = trimwright(*question.split(), *options(GOOD[question]), "--working")
    assert ran.code == 0, ran.err
    assert " = " in ran.out
    assert "[" in ran.out
    told = trimwright(*question.split(), *options(GOOD[question]), "--json").json
    assert told["question"] == question
    assert told["typed"] == GOOD[question]
    assert all(each["working"] and each["source"] for each in told["figures"])


def test_limits_are_told_with_their_year(trimwright: Trimwright) -> None:
    ran = trimwright("air", "tin", "--tin", "clear_can", "--place", "garage-open")
    assert "NIOSH 1994" in ran.out
    assert "below the limit of 10 %" in ran.out
    assert "Keep it out of a closed car" in ran.out


def test_isocyanate_in_a_garage_is_refused(trimwright: Trimwright) -> None:
    ran = trimwright("air", "tin", "--tin", "clear_2k", "--mask", "filter")
    assert ran.code == 0
    assert "Refused: Not in an ordinary room or a car" in ran.out
    assert "A filter mask does not protect while spraying" in ran.out


def test_lines_come_from_a_job_and_what_is_typed_goes_before_them(trimwright: Trimwright, small: Path) -> None:
    filled = trimwright("air", "tin", "--job", small, "--part", VISOR, "--json").json
    assert filled["typed"]["tin"] == "spray_glue"
    assert "visor" in filled["task"]
    typed = trimwright("air", "tin", "--job", small, "--part", VISOR, "--place", "cabin", "--json").json
    assert typed["typed"] == {**filled["typed"], "place": "cabin"}
    assert VISOR not in trimwright("air", "tin", "--job", small, "--part", VISOR).err


def test_a_picture_is_written_where_there_is_one(trimwright: Trimwright) -> None:
    assert trimwright("air", "tin", "--tin", "ipa", "--amount", "0.1 L", "--picture", "air.svg").code == 0
    assert ElementTree.parse("air.svg").getroot().tag.endswith("svg")
    ran = trimwright("coats", "film", *options(GOOD["coats film"]), "--picture", "film.svg")
    assert ran.code == 2
    assert not Path("film.svg").exists()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("air", "coat", "--air", "20", "--humidity", "140 %", "--surface", "18 C"), "2 problems:"),
        (("air", "tin", "--tin", "ipa", "--room", "-50 m3", "--flow", "fast"), "2 problems:"),
        (("coats", "mix", "--area", "1 m2", "--film", "25 um", "--solids", "0 %", "--transfer", "50 %"), "60 %"),
        (("torque", "--torque", "46"), "is no torque with its unit"),
        (("torque", "--part", "knob"), "--job"),
        (("torque", "--job", "nowhere.json"), "--part"),
    ],
)
def test_slips_are_told_with_the_way_out(trimwright: Trimwright, arguments: tuple[str, ...], told: str) -> None:
    ran = trimwright(*arguments)
    assert ran.code == 2
    assert told in ran.err

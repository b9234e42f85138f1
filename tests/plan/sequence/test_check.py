"""The independent check refuses every order broken by hand, one for each of its rules, and passes a sound one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from tests.plan.happened import happened
from tests.plan.sequence.cabins import TRADE, Cabin, cabin
from trimwright.facts.trade import Wait
from trimwright.plan.sequence import check as checking
from trimwright.plan.sequence.check import RULES, check
from trimwright.plan.sequence.moves import Move, Sequence

OFF = ("wheel_airbag", "carpet_main", "headliner_board", "sill_plate.driver", "water_sheet.driver")
WAITS = (Wait("cure", (12, 24, 48), "rack"),)
Moves = list[Move]


@cache
def estate() -> Cabin:
    """A car of which nothing is known: everything counts as fitted."""
    return cabin("estate")


@cache
def sound() -> Sequence:
    return estate().arranged([part for part in OFF if part in estate().own], WAITS)


def broken(moves: Moves) -> set[str]:
    of = estate()
    verdicts = of.verdicts([part for part in OFF if part in of.own], WAITS)
    return {each.rule for each in check(Sequence(tuple(moves), sound().safe_wait), of.job, TRADE, verdicts)}


def at(moves: Moves, move: str) -> int:
    return [each.id for each in moves].index(move)


def shifted(move: str, *, before: str = "", behind: str = "") -> Callable[[Moves], Moves]:
    """The move taken out and put in again elsewhere."""

    def shift(moves: Moves) -> Moves:
        taken = moves.pop(at(moves, move))
        moves.insert(at(moves, before) if before else at(moves, behind) + 1, taken)
        return moves

    return shift


def without(move: str) -> Callable[[Moves], Moves]:
    return lambda moves: [each for each in moves if each.id != move]


def changed(move: str, **said: Any) -> Callable[[Moves], Moves]:
    return lambda moves: [replace(each, **said) if each.id == move else each for each in moves]


BREAKS: list[tuple[str, Callable[[Moves], Moves]]] = [
    ("battery first", shifted("off:wheel_airbag", before="battery_off")),
    ("battery first", without("battery_off")),
    ("battery first", changed("battery_off", conditions=frozenset())),
    ("wait long enough", shifted("wait", behind="off:wheel_airbag")),
    ("wait long enough", without("wait")),
    ("wait long enough", changed("wait", wait_minutes=29)),
    ("wait long enough", shifted("wait", before="battery_off")),
    ("nothing in the way", shifted("off:carpet_main", before="off:fseat_off.driver")),
    ("no more than needed", without("off:sill_plate.driver")),
    ("no more than needed", lambda moves: [*moves[:-1], replace(moves[5], id="off:again"), moves[-1]]),
    ("units laid down", without("store:wheel_airbag")),
    ("units laid down", shifted("store:wheel_airbag", before="back:wheel_airbag")),
    ("units laid down", changed("store:wheel_airbag", conditions=frozenset({"trained person"}))),
    ("opened by a trained person", changed("off:wheel_airbag", conditions=frozenset())),
    ("opened by a trained person", changed("back:fseat_off.driver", conditions=frozenset())),
    ("everything goes back", without("back:sill_plate.driver")),
    ("everything goes back", shifted("back:fseat_off.driver", before="back:carpet_main")),
    ("tested before covered", without("floor")),
    ("tested before covered", shifted("looms", behind="back:carpet_main")),
    ("tested before covered", shifted("drains", behind="back:headliner_board")),
    ("looms by meter", changed("looms", conditions=frozenset({"meter or isolated feed"}))),
    ("looms by meter", shifted("looms", behind="battery_on")),
    ("battery on last", shifted("battery_on", before="back:wheel_airbag")),
    ("battery on last", changed("battery_on", conditions=frozenset())),
    ("battery on last", without("battery_on")),
    ("lamp by licensed practice", without("lamp")),
    ("lamp by licensed practice", changed("lamp", conditions=frozenset())),
    ("lamp by licensed practice", shifted("lamp", before="battery_on")),
    ("power tests last", shifted("power", before="lamp")),
    ("power tests last", shifted("power", before="battery_on")),
    ("power tests last", without("power")),
    ("power tests last", shifted("hand_over", before="power")),
    ("marks kept", changed("off:carpet_main", marks=())),
    ("marks kept", changed("back:carpet_main", marks=("other",))),
    ("bags come back", changed("off:carpet_main", bag=None)),
    ("bags come back", changed("back:carpet_main", bag="headliner_board")),
    ("clips in hand", shifted("clips", behind="back:carpet_main")),
    ("cured", changed("back:headliner_board", cures=())),
]


def test_a_sound_sequence_passes() -> None:
    assert broken(list(sound().moves)) == set()


@pytest.mark.parametrize(("rule", "break_it"), BREAKS)
def test_an_order_broken_by_hand_is_refused(rule: str, break_it: Callable[[Moves], Moves]) -> None:
    assert rule in broken(break_it(list(sound().moves)))


def test_every_rule_has_an_order_that_breaks_it() -> None:
    assert {rule for rule, _ in BREAKS} == {rule.__name__.replace("_", " ") for rule in RULES}


def test_a_longer_wait_in_the_cars_own_book_is_asked_for() -> None:
    of = estate()
    job = happened(of.job, {"kind": "book_wait", "minutes": 40, "page": "4"})
    (only,) = {each.rule for each in check(sound(), job, TRADE, of.verdicts([p for p in OFF if p in of.own], WAITS))}
    assert only == "wait long enough"


def test_no_reason_in_writing_passes_a_hold() -> None:
    """Notes, promises and pins change nothing: the check never reads them."""
    of = estate()
    job = happened(of.job, {"kind": "note", "note": "the owner says the battery may stay on"})
    moves = shifted("off:wheel_airbag", before="battery_off")(list(sound().moves))
    verdicts = of.verdicts([part for part in OFF if part in of.own], WAITS)
    pinned = job.model_copy(
        update={"parts": tuple(part.model_copy(update={"pin": "leave", "notes": "as agreed"}) for part in job.parts)}
    )
    for told in (job, pinned):
        rules = {each.rule for each in checking.check(Sequence(tuple(moves), None), told, TRADE, verdicts)}
        assert "battery first" in rules

"""The question of a bolt: its torque in every unit, the tension that brings, and the proof load it is held against.

What holds people gets no figure here but the one of the car's own book, told in other units.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import cast, get_args

from trimwright import units
from trimwright.craft.answer import Answer, Named, shown
from trimwright.craft.asking import Ask, Question, Typed
from trimwright.craft.torque import COARSE_MM, USUAL_STATE, Thread, Tightening, in_every_unit, thread_of, tightening
from trimwright.errors import BadInput, Problem
from trimwright.facts.fixings import Grade, Holds
from trimwright.facts.workbench import load_workbench

GRADES: tuple[Grade, ...] = get_args(Grade)
HOLDS: tuple[Holds, ...] = get_args(Holds)
TRIM = "trim"
BOOK_FIRST = "The car's own book goes before any figure here; a general figure is for trim alone."
SCATTER = "At one torque the tension scatters by about a third either way; a used, painted or dirty thread more still."


def _torque(typed: Mapping[str, str]) -> Answer:
    lines = Typed(TORQUE.asks, typed)
    newton_metres = lines.take("torque", units.parse_torque, 0.0)
    thread = lines.take("thread", _thread, None)
    grade = lines.choice("class")
    state = lines.choice("state") or USUAL_STATE
    holds = lines.choice("holds")
    if not lines.has("holds") and (lines.has("thread") or lines.has("class")):
        lines.slip("holds", "is missing.", f"Say what the bolt holds: {', '.join(TORQUE.asks[4].choices)}.")
    if not lines.has("torque") and not lines.has("thread") and holds in ("", TRIM):
        lines.slip("torque", "is missing, and so is the thread.", "Write 46 N·m; or a thread such as M8 and its class.")
    if lines.has("thread") and not lines.has("class") and holds == TRIM:
        lines.slip("class", "is missing.", f"Read it on the bolt's head: {', '.join(GRADES)}.")
    if lines.has("class") and not lines.has("thread") and holds == TRIM:
        lines.slip("thread", "is missing.", "Write M8, or M10x1.25.")
    lines.refuse_slips()
    in_units = tuple(Named(f"in {each.unit}", each) for each in in_every_unit(newton_metres)) if newton_metres else ()
    if holds in HOLDS:
        return _refused(holds, in_units)
    if thread is None:
        told = f"{units.torque(newton_metres)}. Which bolt it is for was not said."
        return Answer(told, in_units, notes=(BOOK_FIRST,))
    found = tightening(thread, cast("Grade", grade), load_workbench().bolt_threads[state], newton_metres or None)
    return _answer(found, state, in_units)


def _refused(holds: str, in_units: tuple[Named, ...]) -> Answer:
    why = f"What holds a {holds} is tightened to the car's own value, and to no other: no figure is worked out for it."
    notes = ["Take bolts, thread-lock and order from the car's own book; where it says new bolts, new bolts."]
    if in_units:
        notes.insert(0, "The units below are of the figure you typed; whether it is the book's, only the book says.")
    return Answer("Refused: " + why, in_units, notes=tuple(notes), cautions=("make_safe",), refused=why)


def _answer(found: Tightening, state: str, in_units: tuple[Named, ...]) -> Answer:
    low, likely, high = found.preload
    general = in_units or tuple(Named(f"in {each.unit}", each) for each in in_every_unit(found.torque.value))
    others = tuple(
        Named(f"for the same tension, thread {each.name}", worked)
        for each, worked in found.same_tension
        if each.id != state
    )
    figures = (
        *((Named("general torque", found.torque),) if found.is_general else ()),
        *general,
        Named("tension, typical", likely),
        Named("tension, lowest", low),
        Named("tension, highest", high),
        Named("proof load", found.proof),
        *others,
    )
    span = f"{shown(low.value / 1000)} to {shown(high.value / 1000, 'kN')}"
    (proof,) = found.limits
    whose = "General figure: " if found.is_general else ""
    told = f"{whose}{units.torque(round(found.torque.value, 2))}, tension {span}, {_against_proof(proof.holds)}."
    notes = [BOOK_FIRST, SCATTER]
    if found.is_general:
        notes.insert(
            1,
            "A general figure by K · d · F, at three quarters of the proof load or less; not for plastic or sheet.",
        )
    if state == "locked":
        notes.append("For thread-lock the figures are weak: one undated data sheet. Ask that of your own.")
    return Answer(told, figures, found.limits, notes=tuple(notes), engine=found)


def _against_proof(holds: bool) -> str:
    return "at most the proof load" if holds else "which may pass the proof load and stretch the bolt"


def _thread(text: str, where: str) -> Thread | None:
    named = re.sub(r"\s", "", text).upper().replace("X", "x").replace("×", "x")
    found = thread_of(named)
    if found is None:
        sizes = ", ".join(f"M{each}" for each in COARSE_MM)
        raise BadInput(
            Problem(where, text, "is no metric thread known here.", f"Write one of {sizes}; fine as M10x1.25.")
        )
    return found


TORQUE = Question(
    "torque",
    "What does a torque do to a bolt?",
    (
        Ask("torque", "torque", "46 N·m, or 34 lbf·ft"),
        Ask("thread", "thread", "M8, or M10x1.25"),
        Ask("class", "property class on the head", "8.8", choices=GRADES),
        Ask("state", "state of the thread", "plated", USUAL_STATE, choices=("dry", "plated", "oiled", "locked")),
        Ask("holds", "what the bolt holds", "trim", choices=(TRIM, *HOLDS)),
    ),
    _torque,
)

"""One part's course as pieces of work: cut at its waits and its marked pauses, so that each fits into an open day.

A piece ends where something has to wait, where the work moves to another place, before material is taken up, and
where the hands have had enough; what may not be left is never cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import NeedsAir, RecipeStep, Treatment, Wait, WorkPlace

LONG_PIECE = 120
"""A piece that may be put down is no longer than this [min]: shorter ones find their gaps. Our own judgement."""

LITTLE = 5
"""So few minutes are not begun before what comes after them can be made [min]."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Work of one hand that is not interrupted, and what waits after it."""

    treatment: str
    step: int
    """The number of its first step in the recipe, from 1."""
    time: int
    """Which time of that step, from 1."""
    cut: int
    """Which piece of that time, from 1."""
    texts: tuple[str, ...]
    minutes: int
    place: WorkPlace
    air: NeedsAir | None = None
    materials: bool = False
    """Material is taken up here, or was before."""
    waits: tuple[Wait, ...] = ()

    @property
    def closes(self) -> bool:
        """Whether what comes next has a last moment to begin."""
        return any(wait.closes for wait in self.waits)

    @property
    def key(self) -> str:
        """Tells it from other pieces of the part, and stays the same while the recipe does."""
        time = f".{self.time}" if self.time > 1 else ""
        cut = f"-{self.cut}" if self.cut > 1 else ""
        return f"{self.treatment}/{self.step}{time}{cut}"


@dataclass(frozen=True, slots=True)
class Stroke:
    """One time of one step, with its minutes."""

    step: RecipeStep
    number: int
    time: int
    minutes: int


def pieces_of(treatment: Treatment, minutes: int, where: str, usual: int, longest: int) -> tuple[Piece, ...]:
    """The treatment's pieces, of `minutes` hands-on in all; BadInput where one can't be cut and no day is as long.

    `where` names the part, `usual` and `longest` are the open minutes of most days and of the longest.
    """
    pieces: list[Piece] = []
    for block in blocks(strokes(treatment, minutes)):
        length = sum(each.minutes for each in block)
        if length > longest and block[-1].step.pause != "any":
            raise BadInput(too_long(block, length, where, longest))
        for each in cut_block(block, treatment.id, usual):
            if pieces and goes_on(pieces[-1], each, most_of_next(pieces[:-1], usual)):
                pieces[-1] = joined(pieces[-1], each)
            else:
                pieces.append(each)
    return tuple(pieces)


def strokes(treatment: Treatment, minutes: int) -> list[Stroke]:
    """Every step as often as it is made, the minutes shared out to the last one."""
    made = [(number, time, step) for number, step in enumerate(treatment.steps, 1) for time in range(1, step.times + 1)]
    shares = shared_out(minutes, [step.share / step.times for _, _, step in made])
    return [Stroke(step, number, time, each) for (number, time, step), each in zip(made, shares, strict=True)]


def shared_out(total: int, weights: Sequence[float]) -> list[int]:
    """Whole shares by weight that add up to `total`.

    >>> shared_out(10, [1, 1, 1]), shared_out(7, [0, 2, 0]), shared_out(5, [0, 0])
    ([3, 4, 3], [0, 7, 0], [5, 0])
    """
    whole = sum(weights)
    if not whole:
        return [total, *(0 for _ in weights[1:])] if weights else []
    given, run, shares = 0, 0.0, []
    for weight in weights:
        run += weight
        upto = round(total * run / whole)
        shares.append(upto - given)
        given = upto
    return shares


def blocks(made: Iterable[Stroke]) -> Iterator[list[Stroke]]:
    """Strokes that may not be parted, together."""
    block: list[Stroke] = []
    for stroke in made:
        block.append(stroke)
        if stroke.step.pause != "no":
            yield block
            block = []
    if block:
        yield block


def cut_block(block: Sequence[Stroke], treatment: str, usual: int) -> Iterator[Piece]:
    """The block as one piece, or, where its last step may be put down at any moment, as several."""
    first, last = block[0], block[-1]
    length = sum(each.minutes for each in block)
    most = min(LONG_PIECE, usual)
    parts = -(-length // most) if last.step.pause == "any" and len(block) == 1 else 1
    lengths = shared_out(length, [1.0] * max(1, parts))
    for number, minutes in enumerate(lengths, 1):
        yield Piece(
            treatment=treatment,
            step=first.number,
            time=first.time,
            cut=number,
            texts=tuple(each.step.text for each in block if each.step.share),
            minutes=minutes,
            place=first.step.place,
            air=max((each.step.air for each in block if each.step.air), key=("limits", "dew").index, default=None),
            materials=any(each.step.materials for each in block),
            waits=(last.step.wait,) if last.step.wait is not None and number == len(lengths) else (),
        )


def most_of_next(before: Sequence[Piece], usual: int) -> int:
    """The longest a piece may grow: what is made while a window is open fits into one day with what opened it."""
    most = min(LONG_PIECE, usual)
    if before and before[-1].closes:
        waited = sum(wait.hours[1] for wait in before[-1].waits) * 60
        most = min(most, int(usual - before[-1].minutes - waited))
    return most


def goes_on(before: Piece, after: Piece, most: int) -> bool:
    """Whether the second piece is made straight after the first, as one: or only waits on, or nothing lies between."""
    if not after.minutes:
        return True
    if before.waits or before.place != after.place or after.cut > 1 or after.time > 1:
        return False
    if before.minutes + after.minutes > most:
        return False
    little = before.minutes <= LITTLE
    waits_for_material = after.materials and not before.materials
    return little or not (waits_for_material or after.closes)


def joined(before: Piece, after: Piece) -> Piece:
    """Both as one piece."""
    air = max((each for each in (before.air, after.air) if each), key=("limits", "dew").index, default=None)
    return replace(
        before,
        texts=(*before.texts, *(each for each in after.texts if each not in before.texts[-1:])),
        minutes=before.minutes + after.minutes,
        air=air,
        materials=before.materials or after.materials,
        waits=(*before.waits, *after.waits),
    )


def too_long(block: Sequence[Stroke], length: int, where: str, longest: int) -> Problem:
    """What can't be left and fits into no day."""
    texts = " and ".join(dict.fromkeys(f"“{each.step.text}”" for each in block))
    return Problem(
        where,
        texts,
        f"takes {length} min and can't be left, but no day is open for more than {longest} min.",
        "Give one day of time › week more hours, or pin another course for the part.",
    )

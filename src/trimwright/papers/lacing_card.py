"""The lacing card: the chosen lacing in a row of pictures, its counts, its order, and the pass that tightens it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import pairwise

from trimwright.charts.lacing import lacing_picture
from trimwright.charts.strain import strain_chart
from trimwright.geometry.lacing import BACK_HOLES, Lacing, Path, Stop, paths, run_name
from trimwright.geometry.wrap import Wrap
from trimwright.papers import press
from trimwright.papers.wording import Words, sentence, text

EDGES = {-1: "driver’s", 1: "dash"}
_WIDE = 240.0


def lacing_card_pdf(
    title: str,
    wrap: Wrap,
    lacing: Lacing,
    made_at: datetime,
    paper: press.PaperSize = "a4",
    *,
    minutes: str = "",
    cautions: Sequence[str] = (),
) -> bytes:
    """The card as PDF, one page; `minutes` are the hours in words, the cautions the usual ones."""
    words = in_words(title, wrap, lacing, minutes=minutes, cautions=cautions)
    return press.printed("lacing_card", words, made_at, paper)


def in_words(title: str, wrap: Wrap, lacing: Lacing, *, minutes: str, cautions: Sequence[str]) -> Words:
    """All that the card prints."""
    return {
        "title": "Lacing card",
        "job": text(title),
        "car": text(f"{lacing.name}, {wrap.pairs} pairs of holes on {wrap.laced_mm:.0f} mm of seam"),
        "looks": lacing_picture(lacing.pattern, wrap.seam, beneath=False, name="looks", style="print"),
        "path": lacing_picture(lacing.pattern, wrap.seam, name="path", style="print"),
        "steps": list(_steps(wrap, lacing)),
        "counts": _counts(wrap, lacing, minutes),
        "runs": _runs(wrap, lacing),
        "order": [
            text(f"{sentence(what)}: {run_name(wrap.runs[run])}, holes {holes}") for what, run, holes in lacing.in_order
        ],
        "tighten": _tighten(lacing),
        "strain": strain_chart(wrap.strain, wrap.leather.along, style="print"),
        "cautions": [text(each) for each in cautions],
    }


def _steps(wrap: Wrap, lacing: Lacing) -> Iterator[Words]:
    """The first pairs, each with its picture and its moves; then the join and the end."""
    for laced in (1, 2, 4):
        drawn = lacing_picture(lacing.pattern, wrap.seam, laced=laced, name=f"step-{laced}", style="print", wide=_WIDE)
        moves = [list(moves_of(path, laced - 1)) for path in paths(lacing.pattern, laced)]
        told = "; ".join(moves[0]) if laced < 4 else "and so on to the end of the run"
        if laced < 4 and len(moves) > 1:
            told += ". The other needle does the same from the other edge"
        yield {"svg": drawn, "head": f"Pair {laced}" if laced < 4 else "The rhythm", "told": text(sentence(told) + ".")}


def moves_of(path: Path, pair: int) -> Iterator[str]:
    """What one needle does from the pair before to this one, in words.

    >>> list(moves_of(paths("spiral", 2)[0], 1))[0]
    'under, slanting to driver’s hole 2'
    """
    for one, other in pairwise(path):
        if pair - 1 < other.along <= pair:
            yield _move(one, other)


def _move(one: Stop, other: Stop) -> str:
    hole = f"{EDGES[other.edge]} hole {int(other.along) + 1}" if other.edge else "the gap"
    way = "straight" if one.along == other.along else "slanting"
    if other.edge == 0:
        return f"{way} down into the gap"
    if one.edge == other.edge and one.along == other.along:
        return f"up through {hole}" if other.level > one.level else f"down through {hole}"
    if one.edge == other.edge:
        return f"under, on to {hole}"
    if other.level == 0:
        return f"under, {way} to {hole}"
    return f"over, {way} to {hole}"


def _counts(wrap: Wrap, lacing: Lacing, minutes: str) -> list[Words]:
    seam = wrap.seam
    each = wrap.runs[0]
    rows = [
        ("pairs of holes", f"{wrap.pairs}"),
        ("hole to hole, on the wheel", f"{each.pitch_mm:.2f} mm"),
        ("hole to hole, on flat leather", f"{each.flat_pitch_mm:.2f} mm"),
        ("hole to edge, gap", f"{seam.margin_mm:g} mm, {seam.gap_mm:g} mm"),
        ("thread in the seam, tight", f"{lacing.chords_mm / 1000:.2f} m"),
        ("thread to cut, with tails and take-up", f"{lacing.cut_mm / 1000:.2f} m"),
    ]
    if minutes:
        rows.append(("hands on, the whole wrap", minutes))
    return [{"what": text(what), "figure": text(figure)} for what, figure in rows]


def _runs(wrap: Wrap, lacing: Lacing) -> list[Words]:
    """The threads run by run, and where they meet."""
    found = []
    for number, run in enumerate(wrap.runs):
        threads = [each for each in lacing.threads if each.run == number]
        cut = threads[0]
        needles = f" × {cut.needles} needles" if cut.needles > 1 else ""
        inside = [f"{each.last}" for each in threads[:-1]]
        joined = f"after hole {', '.join(inside)}" if inside else _ends(run.at_spoke)
        found.append({
            "run": text(run_name(run)),
            "holes": f"{len(run.holes)}",
            "threads": text(f"{len(threads)} of {cut.cut_mm / 1000:.2f} m{needles}"),
            "joined": joined,
        })  # fmt: skip
    return found


def _ends(at_spoke: tuple[bool, bool]) -> str:
    return "under the spokes" if all(at_spoke) else "at the ends of the run"


def _tighten(lacing: Lacing) -> list[str]:
    """Common practice, no source."""
    both = "both threads in turn" if lacing.threads[0].needles > 1 else "the thread"
    return [
        "Lace a hand’s width loosely, then draw it up stitch by stitch; clamps hold the edges ahead of the needle.",
        f"A new thread starts {BACK_HOLES} holes back; the old tail is run back as far inside.",
        f"Once mounted, walk {both} with a blunt hook from start to end, taking up every stitch; then once more.",
        "Every tenth stitch look along the seam: it faces the hub, and ticks stand opposite ticks.",
        "Knot in the gap, tuck the tail 6 to 10 mm under, leave it to rest overnight, then hammer the seam flat.",
    ]

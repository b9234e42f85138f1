"""The strip-down sheet in words: every move on the way in, in order, cautions before the hand goes there.

Left and right of a kind that come off one after the other share a line, with a box for each.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from trimwright import units
from trimwright.facts.fixings import Fixing, held_by, used_once
from trimwright.facts.trade import Place, Trade
from trimwright.papers.wording import PLACES, Words, about, head, listed, sentence, text
from trimwright.plan.plan import Plan
from trimwright.plan.sequence.ledger import when_safe
from trimwright.plan.sequence.moves import Move
from trimwright.plan.sequence.moves import Sequence as Arranged


def in_words(plan: Plan, sequence: Arranged) -> Words:
    """All that the strip-down sheet prints."""
    off = [move for move in sequence.strip if move.doing in ("off", "store")]
    said: set[str] = set()
    return {
        **head(plan.job, "Strip-down sheet"),
        "safe": making_safe(plan, sequence),
        "runs": [
            {"zone": sentence(zone), "rows": [row(group, plan.trade, said) for group in pairs(list(run))]}
            for zone, run in groupby(off, key=lambda move: move.zone)
        ],
        "time": units.hours(sum(move.minutes for move in sequence.strip if not move.done)),
    }


def making_safe(plan: Plan, sequence: Arranged) -> Words:
    """What comes before anything is touched: the moves, the cautions, the wait and whose figure it is."""
    before = [move for move in sequence.strip if move.doing not in ("off", "store")]
    wait = sequence.safe_wait
    since = when_safe(sequence, plan.job)
    cautions = [plan.trade.cautions[each].text for move in before for each in move.cautions]
    return {
        "moves": [
            {"name": text(move.name), "how": sentence("; ".join(move.how)), "done": move.done}
            for move in before
            if move.doing != "wait"
        ],
        "cautions": [text(each) for each in dict.fromkeys(cautions)],
        "wait": f"{wait.minutes} min" if wait else "",
        "source": wait_source(sequence),
        "since": f"{since:%Y-%m-%d %H:%M}" if since else "",
        "meanwhile": meanwhile(sequence) if wait else "",
    }


def wait_source(sequence: Arranged) -> str:
    """Who says how long the wait is."""
    wait = sequence.safe_wait
    if wait is None:
        return ""
    if wait.own:
        return text(f"The car’s own book: {wait.source}.")
    return text(f"The longest in print ({wait.source}). Look in the car’s own book: its figure comes first.")


def meanwhile(sequence: Arranged) -> str:
    """What may come off while the wait runs: nothing wired, nothing restrained, nothing that waits for either."""
    free: list[Move] = []
    for move in sequence.strip:
        waits = {"battery_off", "wait"} & set(move.after)
        within = {each for each in move.after if each.startswith("off:")} <= {each.id for each in free}
        if move.doing == "off" and not waits and within and not move.done:
            free.append(move)
    return listed(kind_name(move) for move in free)


# ---- a line ----------------------------------------------------------------------------------------------------------


def pairs(moves: Sequence[Move]) -> list[list[Move]]:
    """Moves of one kind that follow each other, laying down a unit with its coming off."""
    return [list(run) for _, run in groupby(moves, key=lambda move: (move.step or "").partition(".")[0])]


def row(group: Sequence[Move], trade: Trade, said: set[str]) -> Words:
    """One kind coming off, at one place or several; a caution is said once on the whole sheet."""
    off = [move for move in group if move.doing == "off"]
    first = off[0]
    cautions = [each for move in group for each in move.cautions if each not in said]
    said |= set(cautions)
    return {
        "name": sentence(kind_name(first)),
        "sides": [
            {"side": side_of(move.place) or "off", "bag": text(move.bag or ""), "done": move.done} for move in off
        ],
        "held": text(", ".join(each for each in (held_by(undone(first)), clips_told(first.clips)) if each)),
        "plugs": text(listed(each.name for each in first.plugs)),
        "live": any(each.fires for each in first.plugs),
        "single": text(used_once(first.fixings)),
        "trained": "trained person" in first.conditions,
        "cautions": [text(trade.cautions[each].text) for each in dict.fromkeys(cautions)],
        "how": [sentence(each) for each in first.how],
        "marks": [sentence(each) for each in first.marks],
        "photos": [sentence(each) for each in first.photos],
        "store": [sentence(each) for move in group if move.doing == "store" for each in move.how][:1],
        "finds": finds(off),
        "time": time_told(off),
    }


def undone(move: Move) -> list[Fixing]:
    """The fixings to undo; plugs stand by themselves."""
    return [each for each in move.fixings if each.form != "plug"]


def finds(moves: Iterable[Move]) -> list[Words]:
    """What may lie open after it."""
    return [
        {"name": sentence(each.name), "chance": about(each.chance), "must": each.must_deal}
        for move in moves
        for each in move.may_find
    ]


def kind_name(move: Move) -> str:
    """What it takes off, without its side."""
    if move.place is None:
        return move.name
    return move.name.removesuffix(f", {move.place.replace('_', ' ')} side")


def clips_told(clips: int) -> str:
    """How many clips usually hold it.

    >>> clips_told(5), clips_told(1), clips_told(0)
    ('about 5 clips', '1 clip', '')
    """
    return f"about {clips} clips" if clips > 1 else "1 clip" if clips else ""


def time_told(moves: Iterable[Move]) -> str:
    """Hands-on time of all of them; nothing where it takes none of its own."""
    minutes = sum(move.minutes for move in moves)
    return units.hours(minutes) if minutes else ""


def side_of(place: Place | None) -> str:
    """The side; nothing for what has none."""
    return "" if place is None else PLACES[place]

"""The hand-over book in words: what was done, what was left and why, of what, by whom, its care, when we meet again.

Everything is told from the job's events, so that it can be shown later; what nobody noted is a blank for the pen.
The page and the paper say it in the same words.
"""

from __future__ import annotations

import io
from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from trimwright import units
from trimwright.facts.trade import Trade
from trimwright.job import events as said
from trimwright.job.account import owed
from trimwright.job.check_events import is_restraint
from trimwright.job.document import Job, Part
from trimwright.job.fields import treatments_named
from trimwright.job.hand_over import owners_book, pairs_of
from trimwright.job.milestones import handed_over
from trimwright.papers import press
from trimwright.papers.press import day
from trimwright.papers.wording import SOURCES, Words, column, gauge, head, listed, sentence, text
from trimwright.plan.plan import Plan
from trimwright.plan.quantities.cabin import LEAVE
from trimwright.plan.quantities.so_far import promises, so_far
from trimwright.plan.sequence.closing import signed
from trimwright.plan.verdicts.verdict import Verdict

if TYPE_CHECKING:
    from trimwright.book.colours import OwnMix
    from trimwright.book.document import Book

LONGEST, QUALITY = 900, 80
"""The longer side of a picture on paper [px], about 260 dots to the inch in half the width; its JPEG quality."""
BOUGHT_KINDS: tuple[tuple[str, tuple[said.Thing, ...], str], ...] = (
    ("materials", ("material",), "Materials"),
    ("parts", ("part",), "Parts, and work sent out"),
    ("tools", ("tool",), "Tools"),
    ("outside work", ("visit",), "Visits of licensed people"),
    ("", ("carriage", "sundries"), "Carriage and small things"),
)
"""What the sum may cover, the things that are of it, and what the owner reads; what has no name it covers always."""


def of_the_plan(plan: Plan) -> Words:
    """What only the plan can tell: what was done, with what settles what, and what was left and why."""
    return {"done": done(plan), "left": left(plan)}


def of_the_job(job: Job, trade: Trade, book: Book | None = None) -> Words:
    """All else, from the job alone; recipes are those of the shop's book for this cabin's colours."""
    ours, gone, sheet = owners_book(job), handed_over(job), signed(job, trade)
    return {
        **head(job, "Hand-over book"),
        "handed": _signed("Handed over to", gone.yes if gone else None),
        "as_it_is": list(_recorded(job)),
        "materials": [_material(each, job, trade) for each in _kept(job) if each.material in trade.materials],
        "recipes": recipes(job, book),
        "parts": [_bought_part(each, job, trade) for each in _kept(job) if each.thing == "part"],
        "licensed": [text(each) for each in _licensed(job, trade)],
        "burn": [_burn(part, job, trade) for part in _new_covers(job, trade)],
        "disposed": [
            {"what": sentence(each.what), "amount": text(each.amount), "how": text(each.how), "on": day(each.at)}
            for each in job.events
            if isinstance(each, said.Disposed)
        ],
        "money": money(job) if ours and ours.shows_money else [],
        "currency": job.money.currency,
        "care": care(job, trade),
        "own_care": text(ours.care) if ours else "",
        "warranty": text(ours.warranty) if ours else "",
        "follow_ups": [day(each) for each in ours.follow_ups] if ours else [],
        "tested": _signed("Test sheet signed by", sheet.yes if sheet else None),
        "signed": _signed("Signed:", ours.yes if ours else None),
    }


def hand_over_pdf(
    job: Job, words: Words, made_at: datetime, paper: press.PaperSize = "a4", photos: Mapping[str, bytes] | None = None
) -> bytes:
    """The book as PDF with its pairs side by side, pictures drawn no larger than paper shows; `photos` by their names.

    `words` are those of the plan and those of the job. A pair of which a photo is not there is left out. ValueError
    where a photo is no picture.
    """
    held = photos or {}
    files: dict[str, bytes] = {}
    shown = []
    names = {part.id: part.name for part in job.parts}
    for number, pair in enumerate(each for each in pairs_of(job) if each.before in held and each.after in held):
        at = {"before": f"{number}-before.jpg", "after": f"{number}-after.jpg"}
        files |= {at["before"]: small_picture(held[pair.before]), at["after"]: small_picture(held[pair.after])}
        shown.append({"name": text(names.get(pair.part or "", "The cabin")), "note": text(pair.note), **at})
    return press.printed("hand_over_book", {**words, "pairs": shown}, made_at, paper, files)


def small_picture(photo: bytes) -> bytes:
    """A photo as JPEG, as large as paper shows it and with nothing but the picture; ValueError when it is none."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(photo)) as found:
            found.draft("RGB", (LONGEST, LONGEST))  # a JPEG is read no larger than needed
            picture = ImageOps.exif_transpose(found).convert("RGB")
            picture.thumbnail((LONGEST, LONGEST))
    except (UnidentifiedImageError, OSError) as error:
        raise ValueError("is no picture that can be read.") from error
    into = io.BytesIO()
    picture.save(into, "JPEG", quality=QUALITY)
    return into.getvalue()


# ---- what was done, and what was left --------------------------------------------------------------------------------


def done(plan: Plan) -> list[Words]:
    """What was done, by zone: the course, what was promised where that differs, the finish, how often again."""
    works, promised = _works(plan), _all_promised(plan.job)
    zones: defaultdict[str, list[Words]] = defaultdict(list)
    for verdict in plan.verdicts.verdicts:
        work = works.get(verdict.part)
        if work is None:
            continue
        whole = work.part != verdict.part
        reached = verdict.finish_after if work.finish is None or whole else work.finish
        agreed = promised.get(verdict.part)
        other = agreed is not None and not whole and agreed != work.course
        zones[verdict.zone].append(
            {
                "part": text(verdict.name),
                "course": sentence(course_name(work.course, plan.trade)),
                "with": text(plan.job.part(work.part).name) if whole else "",
                "promised": text(course_name(agreed, plan.trade)) if other and agreed else "",
                "gauge": gauge(verdict.finish_before, reached),
                "again": f"done again {work.redone} times" if work.redone > 1 else "done again" if work.redone else "",
                "note": text(work.note),
            }
        )
    return [{"name": sentence(zone), "rows": rows} for zone, rows in zones.items()]


def left(plan: Plan) -> list[Words]:
    """What was left as it is, by zone, each part with its finish and why."""
    works = _works(plan)
    zones: defaultdict[str, list[Words]] = defaultdict(list)
    for each in plan.verdicts.verdicts:
        if each.part not in works:
            told = {"part": text(each.name), "finish": str(each.finish_before), "why": text(_why_left(each, plan))}
            zones[each.zone].append(told)
    return [{"name": sentence(zone), "rows": rows} for zone, rows in zones.items()]


def course_name(course: str, trade: Trade) -> str:
    """A course in words; the id of a treatment nobody knows any more as it is."""
    named = [trade.treatments[each].name if each in trade.treatments else each for each in treatments_named(course)]
    return listed(named)


def _works(plan: Plan) -> dict[str, said.Done]:
    """The work done on each part, its own or that of the whole which settles it."""
    finished = {part: each for part, each in so_far(plan.job).done.items() if each.course != LEAVE}
    settled = {each.part: each.settled_by or each.part for each in plan.verdicts.verdicts}
    found = {part: finished.get(part) or finished.get(by) for part, by in settled.items()}
    return {part: work for part, work in found.items() if work is not None}


def _all_promised(job: Job) -> dict[str, str]:
    """The course each part was promised last, let go of or not."""
    yeses = [each for each in job.events if isinstance(each, said.Promised)]
    return {part: course for each in yeses for part, course in each.verdicts.items()}


def _why_left(verdict: Verdict, plan: Plan) -> str:
    """Why a part was left as it is: what was agreed first, then what speaks against work on it, then the sum."""
    part_id = verdict.part
    job, part = plan.job, plan.job.part(part_id)
    options = next(each for each in plan.quantities.parts if each.part == part_id)
    agreed, held = _all_promised(job).get(part_id, LEAVE), promises(job.events)
    finds = [each.what for each in job.events if isinstance(each, said.Find) and part_id in each.drops]
    if agreed != LEAVE and finds:
        return f"Given up, with your yes, for what strip-down found: {listed(finds)}."
    if agreed != LEAVE and part_id not in held:
        return f"Promised at first ({course_name(agreed, plan.trade)}), and let go of with your yes."
    if agreed != LEAVE:
        return f"Promised ({course_name(agreed, plan.trade)}) and not noted as done."
    if verdict.course is not None and verdict.course.id != LEAVE:
        return f"To be done ({course_name(verdict.course.id, plan.trade)}), and not noted as done."
    if verdict.settled_by:
        return f"To be settled with {job.part(verdict.settled_by).name}, which is not noted as done."
    if part_id in job.wishes.leave_alone or part.pin == LEAVE:
        return "Left alone, as was agreed."
    if not part.faults:
        return "No fault was found on it."
    faults = listed(f"{plan.trade.faults[each.fault].name} ({each.extent})" for each in part.faults)
    if all(each.id == LEAVE for each in options.courses) and options.refused:
        return f"{sentence(faults)}. {options.refused[0].why}"
    return f"{sentence(faults)}. The sum does more elsewhere."


def _recorded(job: Job) -> Iterator[Words]:
    """Finds and snags that were left with a yes or a reason."""
    for each in job.events:
        if isinstance(each, said.Find) and each.is_left:
            yes = f" Agreed by {each.yes.name}, {day(each.yes.at)}." if each.yes else ""
            yield {
                "what": sentence(each.what),
                "why": text(f"Found at strip-down, left and recorded.{yes} {each.note}"),
            }
        if isinstance(each, said.Snag) and each.state == "left":
            yield {"what": sentence(each.what), "why": sentence(each.note)}


# ---- of what, and by whom --------------------------------------------------------------------------------------------


def _kept(job: Job) -> list[said.Bought]:
    return [each for each in job.events if isinstance(each, said.Bought) and each.returned is None]


def seller_of(each: said.Bought, trade: Trade) -> str:
    """Who sold it, one of the trade's by name."""
    return trade.suppliers[each.seller].name if each.seller in trade.suppliers else each.seller


def _material(each: said.Bought, job: Job, trade: Trade) -> Words:
    """A material bought, with the batch as it was noted when it came."""
    material = trade.materials[each.material or ""]
    packs = {pack.id: pack.sold_as for pack in material.packs}
    many = f"{each.count} × {packs.get(each.pack, each.pack)}" if each.pack else ""
    amount = many or units.amount(round((each.amount or 0) * 1000), material.unit, job.car.units)
    return {
        "name": sentence(material.name),
        "colour": text(each.colour),
        "amount": text(amount),
        "seller": text(seller_of(each, trade)),
        "batch": text(each.note),
    }


def recipes(job: Job, book: Book | None) -> list[Words]:
    """The shop book's mixes of this cabin's colours, kept since the job began: drops of each base, and the batch."""
    if book is None or not job.events:
        return []
    colours = {part.colour.casefold() for part in job.parts} | {
        each.colour.casefold() for each in _kept(job) if each.material
    }
    began, bases = min(each.at.date() for each in job.events), {each.id: each.name for each in book.bases}
    ours = [
        mix
        for mix in book.mixes
        if mix.on >= began and any(colour and colour in mix.name.casefold() for colour in colours)
    ]
    return [_recipe(mix, bases) for mix in ours]


def _recipe(mix: OwnMix, bases: Mapping[str, str]) -> Words:
    drops = listed(f"{each.drops} drops of {bases.get(each.base, each.base)}" for each in mix.drops)
    return {"name": sentence(mix.name), "drops": text(drops), "batch": text(mix.batch), "on": day(mix.on)}


def _bought_part(each: said.Bought, job: Job, trade: Trade) -> Words:
    part = next((part.name for part in job.parts if part.id == each.part), each.part or "")
    source = SOURCES[each.source] if each.source else ""
    return {"part": text(part), "source": text(source), "seller": text(seller_of(each, trade)), "note": text(each.note)}


def _licensed(job: Job, trade: Trade) -> Iterator[str]:
    """Work that only licensed practice may do: restraint parts fitted, visits, tests of the lamp; by whom, and when."""
    known = so_far(job)
    for part, work in known.done.items():
        named = (trade.treatments[each] for each in treatments_named(work.course) if each in trade.treatments)
        if is_restraint(part, job, trade) and any(each.visit for each in named):
            whose = work.note or (f"By {work.by}." if work.by else "By whom is not noted.")
            yield f"{job.part(part).name}: {course_name(work.course, trade)}, {day(work.at)}. {whose}"
    for each in _kept(job):
        if each.thing == "visit" and each.tool:
            by = f" by {each.seller}" if each.seller else ""
            name = trade.tools[each.tool].name if each.tool in trade.tools else each.tool
            yield f"{sentence(name)}{by}, {day(each.at)}."
    for name in dict.fromkeys(each.trained for each in job.events if isinstance(each, said.Tested) and each.trained):
        yield f"Tests of the restraint system: {name}."


def _new_covers(job: Job, trade: Trade) -> Iterator[Part]:
    """Parts with new cover material of which it is asked how fast it burns."""
    for part_id, work in so_far(job).done.items():
        part = next((each for each in job.parts if each.id == part_id), None)
        kind = trade.parts.get(part.kind) if part else None
        named = [trade.treatments[each] for each in treatments_named(work.course) if each in trade.treatments]
        if part and kind and kind.burn_rate and any(each.kind == "re-cover" or each.buys == "new" for each in named):
            yield part


def _burn(part: Part, job: Job, trade: Trade) -> Words:
    """Who sold what lies on the part now, of whom the statement is; the note is the shop's own where it was kept."""
    sold = [each for each in _kept(job) if each.part == part.id or (part.colour and each.colour == part.colour)]
    told = listed(each.note for each in sold if "burn" in each.note.casefold())
    return {
        "part": text(part.name),
        "seller": text(listed(seller_of(each, trade) for each in sold if each.seller)),
        "told": text(told),
    }


# ---- money, care -----------------------------------------------------------------------------------------------------


def money(job: Job) -> list[Words]:
    """What was agreed beside what was spent, of that alone which the sum covers; then what of it is paid."""
    covers, kept = job.money.covers, [each for each in job.events if isinstance(each, said.Bought)]
    rows = [
        (name, sum(each.cost for each in kept if each.thing in things))
        for covered, things, name in BOUGHT_KINDS
        if not covered or covered in covers
    ]
    rows.append(("Finds dealt with, and else", sum(each.money for each in job.events if isinstance(each, said.Spent))))
    if "labour" in covers:
        minutes = so_far(job).minutes
        rows.append((f"Work, {units.hours(minutes)}", round(minutes * job.money.labour_rate / 60)))
    account, currency = owed(job), job.money.currency
    spent = sum(cost for _name, cost in rows)
    lines = [*((name, cost, False) for name, cost in rows if cost), ("Spent in all", spent, True)]
    lines += [("Agreed", account.agreed, True), ("Paid so far", account.paid, False)]
    return [{"name": text(name), "money": column(cost, currency), "sum": is_sum} for name, cost, is_sum in lines]


def care(job: Job, trade: Trade) -> list[Words]:
    """How to look after each material that was worked on, belts always; how far each line may be trusted."""
    worked = {part for part, each in so_far(job).done.items() if each.course != LEAVE}
    materials = [each.material for each in job.parts if each.id in worked or is_restraint(each.id, job, trade)]
    families = [trade.families[each] for each in dict.fromkeys(materials) if each in trade.families]
    return [
        {"name": sentence(each.name), "lines": [{"told": text(c.text), "trust": c.evidence.level} for c in each.care]}
        for each in families
        if each.care
    ]


def _signed(before: str, yes: said.Yes | None) -> str:
    return text(f"{before} {yes.name}, {day(yes.at)} ({yes.how}).") if yes else ""

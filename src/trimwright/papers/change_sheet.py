"""The change sheet in words: what was found, what each answer to it comes to, and the owner's yes."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from trimwright import units
from trimwright.job.events import Answer, Range
from trimwright.papers.bench_words import DAY_MINUTES, day_told, days
from trimwright.papers.press import day
from trimwright.papers.wording import Words, chance_words, column, head, sentence, text
from trimwright.plan.changes import Changed, ChangeSheet, HandOvers, Way
from trimwright.plan.verdicts.verdict import Verdict, Verdicts

TITLES: dict[Answer, str] = {
    "from the reserve": "The reserve pays",
    "drop others for it": "Others are dropped for it",
    "leave and record": "It is left and recorded",
}


def in_words(sheet: ChangeSheet, dates: HandOvers | None = None) -> Words:
    """All that the change sheet prints; with the dates also what each answer does to the hand-over."""
    columns = [sheet.before, *(way.verdicts for way in sheet.ways)]
    return {
        **head(sheet.job, "Change sheet"),
        "find": found(sheet),
        "columns": ["as it was", *(TITLES[way.answer] for way in sheet.ways)],
        "rows": [
            *({"name": name, "cells": [tell(each) for each in columns]} for name, tell in figures(sheet)),
            *({"name": name, "cells": cells} for name, cells in (date_rows(sheet, dates) if dates else ())),
        ],
        "ways": [
            {
                "title": TITLES[way.answer],
                "chosen": way.answer == sheet.find.answer,
                "told": [text(each) for each in told(way, sheet)],
                "changed": [changed_row(each) for each in way.changed],
            }
            for way in sheet.ways
        ],
        "answered": answered(sheet),
    }


def found(sheet: ChangeSheet) -> Words:
    """The find: what, where, whether it must be dealt with, what it takes."""
    find, currency = sheet.find, sheet.job.money.currency
    rows = {
        "Where": sheet.where,
        "When": f"{day(find.at)}, {find.at:%H:%M}" + (f", by {find.by}" if find.by else ""),
        "Money": _range(find.money, lambda minor: units.money(minor, currency), f" {currency}"),
        "Time": _range(find.minutes, units.hours, ""),
        "Photos": ", ".join(find.photos),
        "Note": find.note,
    }
    return {
        "what": sentence(find.what),
        "must": find.must,
        "rows": [{"name": name, "told": text(told)} for name, told in rows.items() if told],
    }


def figures(sheet: ChangeSheet) -> Iterator[tuple[str, Callable[[Verdicts], str]]]:
    """The rows of the comparison, each with how a plan's figure is told."""
    currency = sheet.job.money.currency
    yield f"Firm, {currency}", lambda each: column(each.money.firm, currency)
    yield "Reserve needed", lambda each: column(each.money.reserve, currency)
    yield "Left", lambda each: column(each.money.left, currency)
    yield "Ends inside the sum in", lambda each: f"{chance_words(each.money.chance)} cases"
    yield "Finish of the cabin, of 100", lambda each: str(each.finish_after)
    yield "Hours, all told", lambda each: units.hours(each.minutes)


def date_rows(sheet: ChangeSheet, dates: HandOvers) -> Iterator[tuple[str, list[str]]]:
    """The hand-over as it was and with each answer, and by how much it moves."""
    answers = [way.answer for way in sheet.ways]
    yield "Hand-over", [day_told(dates.before), *(day_told(dates.after[each]) for each in answers)]
    moved = [dates.days_later(each) * DAY_MINUTES for each in answers]
    yield "Later by", ["", *(days(each) if each >= 30 else "nothing" for each in moved)]


def told(way: Way, sheet: ChangeSheet) -> Iterator[str]:
    """What an answer means, and where it falls short of what was asked."""
    money, short = sheet.job.money, way.verdicts.short
    sure = chance_words(money.sure)
    if way.answer == "drop others for it" and short is None:
        yield f"The job stays as sure as you asked: inside the sum in {sure} cases."
    if not way.changed:
        yield "Everything else is done as it was to be."
    if way.answer == "leave and record":
        yield "Nothing is spent on it. It stays as it is, and the papers of the job say so."
    if short and short.money:
        more = units.money(short.money, money.currency, code=True)
        yield f"Less sure than you asked ({sure}): to be as sure again the sum would have to be {more} more."
    if short and short.minutes:
        yield f"It takes {units.hours(short.minutes)} more than there are."


def changed_row(each: Changed) -> Words:
    """One part whose verdict or finish changes."""
    before, after = each.before.finish_after, each.after.finish_after
    return {
        "part": text(each.before.name),
        "before": _verdict(each.before),
        "after": "as before" if each.same_course else _verdict(each.after),
        "finish": f"{before} → {after}" if before != after else str(after),
    }


def answered(sheet: ChangeSheet) -> str:
    """The answer already given, with the yes that goes with it; empty while there is none."""
    find = sheet.find
    if find.answer == "undecided":
        return ""
    if find.yes is None:
        return f"Answered: {TITLES[find.answer]}."
    yes = find.yes
    return text(f"Answered: {TITLES[find.answer]}. Yes by {yes.name}, {day(yes.at)}, {yes.at:%H:%M} ({yes.how}).")


def _verdict(verdict: Verdict) -> str:
    if verdict.settled_by:
        return "with its whole"
    return sentence(verdict.course.name) if verdict.course else ""


def _range(each: Range, shown: Callable[[int], str], unit: str) -> str:
    if not each.high:
        return ""
    ends = list(dict.fromkeys(shown(value) for value in (each.low, each.high)))
    likely = f", most likely {shown(each.likely)}" if len(ends) > 1 else ""
    return f"{' to '.join(ends)}{unit}{likely}"

"""The test sheet in words: everything that is tried before the keys go back, by subject."""

from __future__ import annotations

from itertools import groupby

from trimwright import units
from trimwright.job.events import Snag
from trimwright.papers.wording import Words, head, sentence, text
from trimwright.plan.plan import Plan
from trimwright.plan.sequence.closing import Line, sheet_of_tests, signed


def in_words(plan: Plan) -> Words:
    """All that the test sheet prints: the tests of what this car may have."""
    yes = signature.yes if (signature := signed(plan.job, plan.trade)) else None
    return {
        **head(plan.job, "Test sheet"),
        "subjects": [
            {"name": sentence(subject), "tests": [line(each) for each in found]}
            for subject, found in groupby(sheet_of_tests(plan.job, plan.trade), key=lambda each: each.test.subject)
        ],
        "snags": [snag(each) for each in plan.job.events if isinstance(each, Snag)],
        "signed": text(f"{yes.name}, {yes.at:%Y-%m-%d %H:%M}") if yes else "",
    }


def snag(each: Snag) -> str:
    """Something found at the end, and what became of it."""
    took = units.hours(each.minutes) if each.minutes else ""
    return text(", ".join(filter(None, (each.what, each.state, took, each.note if each.state == "left" else ""))))


def line(each: Line) -> Words:
    """One test, and what came of it where it has been made."""
    by = f", {each.trained}" if each.trained and each.test.trained else ""
    result = f"{each.result}{by}, {each.at:%Y-%m-%d}" if each.at else ""
    return {
        "text": sentence(each.test.text),
        "trained": each.test.trained,
        "told": text(each.test.evidence.level),
        "result": text(result),
    }

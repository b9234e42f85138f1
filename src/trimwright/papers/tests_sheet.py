"""The test sheet in words: everything that is tried before the keys go back, by subject."""

from __future__ import annotations

from itertools import groupby

from trimwright.facts.trade import FinalTest
from trimwright.papers.wording import Words, head, sentence, text
from trimwright.plan.plan import Plan


def in_words(plan: Plan) -> Words:
    """All that the test sheet prints: the tests of what this car may have."""
    fitted = plan.job.car.equipment
    asked = [
        each
        for each in plan.trade.final_tests.values()
        if (fitted.may_have(each.fitted) if each.fitted else not each.trained or fitted.any_restraint_electrics)
    ]
    return {
        **head(plan.job, "Test sheet"),
        "subjects": [
            {"name": sentence(subject), "tests": [line(each) for each in found]}
            for subject, found in groupby(asked, key=lambda each: each.subject)
        ],
    }


def line(each: FinalTest) -> Words:
    """One test."""
    return {"text": sentence(each.text), "trained": each.trained, "told": text(each.evidence.level)}

"""Bag labels in words: one for each bag, on common label sheets, with a code that names the job and the bag.

Sizes, from memory of what is sold: A4 sheets of 3 × 7 labels of 63.5 × 38.1 mm; US Letter sheets of 3 × 10 labels of
2⅝ × 1 in. Print at full size.
"""

from __future__ import annotations

import io

from trimwright.craft.bag_code import code_text
from trimwright.facts.fixings import held_by
from trimwright.papers.strip_sheet import clips_told
from trimwright.papers.wording import Words, head, sentence, text
from trimwright.plan.plan import Plan
from trimwright.plan.sequence.ledger import Bag, bags
from trimwright.plan.sequence.moves import Sequence

INK = "#20242B"


def in_words(plan: Plan, sequence: Sequence) -> Words:
    """All that the label sheets print: the bags that are still to fill or open."""
    wanted = [each for each in bags(sequence, plan.job, plan.trade) if each.state in ("to fill", "open")]
    return {**head(plan.job, "Bag labels"), "labels": [label(each, plan) for each in wanted]}


def label(bag: Bag, plan: Plan) -> Words:
    """One label."""
    return {
        "name": sentence(bag.name),
        "held": text(", ".join(each for each in (held_by(bag.contents), clips_told(bag.clips)) if each)),
        "bag": text(bag.step),
        "code": code(code_text(plan.job.id, bag.step)),
    }


def code(told: str) -> str:
    """A QR code (ISO/IEC 18004) as SVG, without its quiet zone: the label leaves one."""
    import segno

    drawn = io.BytesIO()
    segno.make(told, error="m", micro=False).save(drawn, kind="svg", xmldecl=False, border=0, dark=INK, nl=False)
    return drawn.getvalue().decode()

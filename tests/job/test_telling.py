"""Changes are told in the words of the trade, never in ids."""

from __future__ import annotations

import pytest

from tests.plan.small_cabin import CUSHION, small_job
from trimwright.facts import load
from trimwright.job.edits import AddEntry, Edit, SetField, describe

PART = ("parts", CUSHION)
TRADE = load()


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        (
            AddEntry(path=(*PART, "faults"), value={"fault": "L_dirty", "extent": "heavy", "note": ""}),
            f"faults + {TRADE.faults['L_dirty'].name}, heavy",
        ),
        (SetField(path=(*PART, "material"), value="vinyl"), f"material leather → {TRADE.families['vinyl'].name}"),
        (
            SetField(path=(*PART, "pin"), value="leather_clean+leather_recolour~2"),
            f"→ {TRADE.treatments['leather_clean'].name}, {TRADE.treatments['leather_recolour'].name}",
        ),
        (SetField(path=(*PART, "notes"), value="leather_clean"), "→ leather_clean"),
    ],
    ids=["a fault", "a material", "a course", "what a person wrote"],
)
def test_the_facts_own_names_stand_for_their_ids(edit: Edit, told: str) -> None:
    assert describe(edit, small_job()).endswith(told)

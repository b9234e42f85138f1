"""What was decided stands while nothing that verdicts depend on has changed, and not a moment longer."""

from __future__ import annotations

from typing import Any

import pytest

from tests.plan.small_cabin import KNOB, VISOR, small_job, small_plan
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.edits import EDIT, apply
from trimwright.plan.plan import make_plan

AT = "2026-11-05T10:00:00+01:00"
TASK = f"{VISOR}/visor_recover/1"
NOUGHT = {"low": 0, "likely": 0, "high": 0}


def happened(kind: str, **told: Any) -> dict[str, Any]:
    value = {"id": "e1", "at": AT, "by": "phone", "kind": kind, **told}
    return {"do": "add", "path": ["events"], "value": value}


def changed(edit: dict[str, Any]) -> Job:
    return apply(small_job(), EDIT.validate_python(edit))


BENCH_ONLY = (
    happened("worked", task=TASK, state="begun"),
    happened("worked", task=TASK, state="finished", minutes=75, redone=1),
    happened("air", temperature=14, humidity=70),
    happened("snag", what="a rattle behind the visor"),
    happened("ordered", thing="part", part=KNOB, source="used", expected=2400),
    {"do": "set", "path": ["time", "pins", TASK], "value": {"not_before": "2026-12-01T00:00:00+01:00"}},
)
DECIDES_AGAIN = (
    happened("find", what="mould", part=VISOR, money=dict.fromkeys(NOUGHT, 9000), minutes=NOUGHT),
    happened("find", what="mould", part=VISOR, money=NOUGHT, minutes=dict.fromkeys(NOUGHT, 60)),
    happened("snag", what="a rattle behind the visor", minutes=25),
    happened("opened", step="sun_visor.driver", minutes=4),
    happened("done", part=VISOR, course="visor_recover", finish=9, minutes=90),
    happened("spent", what="parking", money=1200),
    {"do": "set", "path": ["money", "sum"], "value": 150_000},
)


@pytest.mark.parametrize("edit", BENCH_ONLY, ids=lambda edit: str(edit["value"].get("kind", "pin")))
def test_what_only_the_calendar_depends_on_leaves_the_decision_as_it_is(edit: dict[str, Any]) -> None:
    before = small_plan().decision
    after = make_plan(changed(edit), load(), before=before, progress=_refused)
    assert after.verdicts is before.verdicts
    assert after.job != small_plan().job
    assert after.buying == small_plan().buying


@pytest.mark.parametrize("edit", DECIDES_AGAIN, ids=lambda edit: str(edit["path"][-1]) + str(edit["value"])[:60])
def test_what_costs_money_or_time_or_opens_the_car_is_decided_again(edit: dict[str, Any]) -> None:
    before = small_plan().decision
    after = make_plan(changed(edit), load(), before=before)
    assert after.verdicts is not before.verdicts
    assert after.quantities != before.quantities


def _refused(stage: str, best: float, bound: float) -> None:
    raise AssertionError(f"decided again: {stage}, {best} of {bound}")

"""The stages in the order of the work, for the rail at the side: where each leads and how far it has got."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import NoReverseMatch, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from trimwright.job.document import Job
from trimwright.job.events import Bought, Opened, OwnersBook, Promised, Worked
from trimwright.job.milestones import handed_over
from trimwright.web.jobs.models import JobRecord

DONE = 10
"""Tenths of a stage that is done."""


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage; `view` names its page."""

    id: str
    name: str | Promise
    view: str


STAGES: Sequence[Stage] = (
    Stage("walk-round", _("Walk-round"), "walk_round"),
    Stage("verdicts", _("Verdicts"), "verdicts"),
    Stage("buying", _("Buying"), "buying"),
    Stage("strip-down", _("Strip-down"), "strip_down"),
    Stage("bench", _("Bench"), "bench"),
    Stage("rebuild", _("Rebuild"), "rebuild"),
    Stage("handover", _("Handover"), "handover"),
)


@dataclass(frozen=True, slots=True)
class RailEntry:
    """A stage as the rail shows it; no `url` where there is no page for it yet, `tenths` 0–10 how far it has got."""

    name: str
    url: str
    current: bool
    tenths: int
    told: str


def rail(row: JobRecord, current: str, job: Job, plan: Mapping[str, Any] | None) -> list[RailEntry]:
    """The rail of a job; `plan` is the plain data of its newest plan."""
    return [
        RailEntry(str(stage.name), _url(stage, row.key), stage.id == current, *_progress(stage, row, job, plan))
        for stage in STAGES
    ]


def onward(row: JobRecord, entries: Sequence[RailEntry], *, may_quote: bool = True) -> tuple[str, str] | None:
    """What to do next, and where: the first stage not yet done; the quote once there are verdicts without a yes.

    Whoever may not quote is led past it.
    """
    for stage, entry in zip(STAGES, entries, strict=True):
        if stage.id == "verdicts" and 0 < entry.tenths < DONE:
            if not may_quote:
                continue
            return str(_("Quote")), reverse("quote", args=[row.key])
        if entry.url and entry.tenths < DONE:
            return entry.name, entry.url
    return None


def _url(stage: Stage, key: str) -> str:
    try:
        return reverse(stage.view, args=[key])
    except NoReverseMatch:
        return ""


def _progress(stage: Stage, row: JobRecord, job: Job, plan: Mapping[str, Any] | None) -> tuple[int, str]:
    if stage.id == "walk-round" and row.parts:
        told = _("%(seen)s of %(parts)s seen") % {"seen": row.seen, "parts": row.parts}
        return row.seen * DONE // row.parts, told
    if stage.id == "verdicts" and plan is not None and row.seen:
        agreed = any(isinstance(event, Promised) for event in job.events)
        return (DONE, str(_("the owner has said yes"))) if agreed else (DONE // 2, str(_("decided, no yes yet")))
    if stage.id == "buying" and plan is not None and "buying" in plan:
        here = sum(isinstance(event, Bought) for event in job.events)
        missing = sum(len(order["packs"]) + len(order["wholes"]) for order in plan["buying"]["orders"])
        told = _("%(here)s here, %(missing)s to come") % {"here": here, "missing": missing}
        return (here * DONE // (here + missing), told) if here else (0, "")
    if stage.id == "strip-down" and plan is not None and "sequence" in plan:
        steps = {move["step"] for move in plan["sequence"]["moves"] if move["doing"] == "off"}
        opened = {event.step for event in job.events if isinstance(event, Opened)}  # what is back on has been off
        off = len(steps & opened)
        told = _("%(off)s of %(all)s off") % {"off": off, "all": len(steps)}
        return (off * DONE // len(steps), told) if off else (0, "")
    if stage.id == "bench" and plan is not None and "verdicts" in plan:
        parts = [part for zone in plan["verdicts"]["zones"] for part in zone["parts"] if part["minutes"]]
        done = sum(part["done"] for part in parts)
        begun = any(isinstance(event, Worked) for event in job.events)
        if not parts or not (done or begun):
            return 0, ""
        of = {"done": done, "all": len(parts)}
        return max(1, done * DONE // len(parts)), _("%(done)s of %(all)s parts done") % of
    if stage.id == "rebuild":
        standing = {event.step: event.back_on for event in job.events if isinstance(event, Opened)}
        gone = handed_over(job) is not None
        told = _("%(back)s of %(all)s back") % {"back": sum(standing.values()), "all": len(standing)}
        back = min(DONE - 1, sum(standing.values()) * DONE // max(1, len(standing)))  # the sheet is still to be signed
        return (DONE, told) if gone else (back, told if back else "")
    if stage.id == "handover":
        gone = handed_over(job) is not None
        signed = any(isinstance(event, OwnersBook) and event.yes for event in job.events)
        told = str(_("the keys are back") if gone else _("the book is signed") if signed else "")
        return (DONE if gone and signed else DONE // 2 if gone or signed else 0), told
    return 0, ""

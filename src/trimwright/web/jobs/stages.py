"""The stages in the order of the work, for the rail at the side: where each leads and how far it has got."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from trimwright.web.jobs.models import JobRecord


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


def rail(row: JobRecord, current: str) -> list[RailEntry]:
    """The rail of a job."""
    return [
        RailEntry(str(stage.name), _url(stage, row.key), stage.id == current, *_progress(stage, row))
        for stage in STAGES
    ]


def _url(stage: Stage, key: str) -> str:
    try:
        return reverse(stage.view, args=[key])
    except NoReverseMatch:
        return ""


def _progress(stage: Stage, row: JobRecord) -> tuple[int, str]:
    if stage.id == "walk-round" and row.parts:
        told = _("%(seen)s of %(parts)s seen") % {"seen": row.seen, "parts": row.parts}
        return row.seen * 10 // row.parts, told
    return 0, ""

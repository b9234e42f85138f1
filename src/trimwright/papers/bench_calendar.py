"""The bench calendar in words: the whole job as bars, the hand-over and how sure it is, and a line a day."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from trimwright import units
from trimwright.charts.calendar import calendar_chart, pictures
from trimwright.papers.bench_words import day_told, driven, held, moment, summary
from trimwright.papers.wording import Words, head, text
from trimwright.plan.calendar.holding import holding
from trimwright.plan.calendar.promise import Promise
from trimwright.plan.calendar.shop_hours import minutes_between
from trimwright.plan.calendar.stretches import stretches
from trimwright.plan.calendar.tasks import Calendar
from trimwright.plan.plan import Plan

WIDE = 760.0


def in_words(plan: Plan, calendar: Calendar, names: Mapping[str, str], promise: Promise | None) -> Words:
    """All that the bench calendar prints."""
    found = [each for each in stretches(calendar) if any(task.done is None for task in each.tasks)]
    return {
        **head(plan.job, "Bench calendar"),
        "end": moment(calendar.end),
        "promised": moment(promise.at) if promise else "",
        "bound": "" if calendar.end == calendar.bound else moment(calendar.bound),
        "wanted": day_told(calendar.bench.wanted_by) if calendar.bench.wanted_by else "",
        "late": calendar.bench.wanted_by is not None and calendar.end.date() > calendar.bench.wanted_by,
        "notes": [text(each) for each in calendar.bench.notes],
        "held": [text(each) for each in held(holding(calendar), calendar, names)],
        "driven": [text(each) for each in driven(promise.drivers, calendar, names)] if promise else [],
        "pictures": [
            calendar_chart(
                calendar, names, part=part, promised=promise.at if promise else None, wide=WIDE,
                name=f"bench{part}", style="print",
            )
            for part in range(1, pictures(calendar, names) + 1)
        ],
        "days": [
            {
                "day": day_told(day),
                "lines": [
                    {
                        "from": f"{each.start:%H:%M}",
                        "to": f"{each.end:%H:%M}",
                        "what": text(summary(each, names)),
                        "time": units.hours(minutes_between(each.start, each.end)),
                    }
                    for each in group
                ],
            }
            for day, group in groupby(found, key=lambda each: each.start.date())
        ],
    }  # fmt: skip

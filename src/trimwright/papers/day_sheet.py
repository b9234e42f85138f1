"""The day sheet in words: what is on the bench, the next window to close, fill-in work, cautions where they belong."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from trimwright.charts.calendar import calendar_chart
from trimwright.facts.trade import Trade
from trimwright.papers.bench_words import day_told, days, moment, named, shortened
from trimwright.papers.wording import Words, head, listed, sentence, text
from trimwright.plan.calendar.day_list import AtWork, DayList, day_list, day_with_work
from trimwright.plan.calendar.gaps import FillIn, Gap
from trimwright.plan.calendar.tasks import Calendar
from trimwright.plan.plan import Plan
from trimwright.plan.sequence import arrange
from trimwright.plan.sequence.ledger import bags

STRIP_WIDE = 700.0
FILL_INS = 4
"""So many are told for a gap."""


def in_words(plan: Plan, calendar: Calendar, names: Mapping[str, str]) -> Words:
    """All that the day sheet prints: for the bench's first day, or the next one with work."""
    today = day_list(calendar, day_with_work(calendar, calendar.bench.start))
    said: set[str] = set()
    return {
        **head(plan.job, "Day sheet"),
        "day": day_told(today.now),
        "air": f"{calendar.bench.air.temperature:g} °C, {calendar.bench.air.humidity:g} %",
        "notes": [text(each) for each in calendar.bench.notes],
        "rows": [row(each, names, plan.trade, said) for each in today.on_the_bench],
        "windows": [
            {
                "what": text(named(each.after, names)),
                "opens": clock(each.opens, today),
                "closes": clock(each.closes, today),
            }
            for each in today.windows
        ],
        "cures": [
            {"at": f"{each.over:%H:%M}", "what": text(named(each.before, names)), "why": text(each.why)}
            for each in today.cures
        ],
        "long": [
            {"what": text(named(each.task, names)), "wait": f"{days(each.minutes)} ({each.why or 'wait'})"}
            for each in today.long_waits
        ],
        "gaps": [gap_row(gap, fits, names) for gap, fits in today.gaps],
        "small": small_work(plan, today),
        "order": [{"what": short(each, names), "by": day_told(each.slot.start)} for each in today.to_order],
        "arriving": [short(each, names) for each in today.arriving],
        "strip": calendar_chart(
            calendar, names, rows="places", since=today.now.date(), days=1, title="The day by place", wide=STRIP_WIDE,
            name="day", style="print",
        ),
    }  # fmt: skip


def row(each: AtWork, names: Mapping[str, str], trade: Trade, said: set[str]) -> Words:
    """One piece of work, its cautions before it, each said once on the sheet."""
    task = each.task
    cautions = [caution for caution in task.cautions if caution not in said]
    said |= set(cautions)
    return {
        "from": f"{each.slot.start:%H:%M}",
        "to": f"{each.slot.end:%H:%M}",
        "what": text(named(task, names)),
        "how": sentence(task.how) if task.how and task.how.lower() not in task.name.lower() else "",
        "where": task.place,
        "cautions": [text(trade.cautions[caution].text) for caution in cautions if caution in trade.cautions],
        "air": f"{task.air.temperature:g} °C, {task.air.humidity:g} %" if task.air else "",
    }


def gap_row(gap: Gap, fits: Mapping[int, tuple[FillIn, ...]], names: Mapping[str, str]) -> Words:
    """A gap, and what would fit in ten, thirty and ninety minutes of it."""
    return {
        "from": f"{gap.start:%H:%M}",
        "to": f"{gap.end:%H:%M}",
        "fits": [
            {"minutes": str(least), "what": text(listed(named(each.task, names) for each in found[:FILL_INS]))}
            for least, found in fits.items()
            if found
        ],
    }


def small_work(plan: Plan, today: DayList) -> list[str]:
    """What of the whole job can be done in any gap: clips to clean, orders to place."""
    made = (plan.job, plan.trade, plan.quantities, plan.verdicts)
    open_bags = [
        each.name for each in bags(arrange(*made), plan.job, plan.trade) if each.state == "open" and each.clips
    ]
    lines = []
    if open_bags:
        lines.append(f"Clean and count the clips of: {listed(open_bags[:FILL_INS])}.")
    if today.to_order:
        lines.append("Place the orders below.")
    return [text(each) for each in lines]


def short(each: AtWork, names: Mapping[str, str]) -> str:
    """What is on its way, in few words."""
    return text(shortened(named(each.task, names)))


def clock(when: datetime, today: DayList) -> str:
    """The time, with its day where that is another."""
    return f"{when:%H:%M}" if when.date() == today.now.date() else moment(when)

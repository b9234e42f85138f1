"""The calendar as bars: a row a part or a place, hands-on work solid, waits hatched, what is on its way dashed.

Closed hours are drawn narrow, whatever they last, so that a day's work can be read; a wait runs through them. Where a
window closes there is a mark across its row.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from html import escape
from typing import Literal

from trimwright.charts.axis import Axis
from trimwright.charts.box import Box
from trimwright.charts.look import Style, picture
from trimwright.charts.marks import bar, line, text
from trimwright.plan.calendar.shop_hours import minutes_between, moved, open_spans
from trimwright.plan.calendar.tasks import Calendar, Task

Rows = Literal["parts", "places"]
NIGHT = 0.22
"""How wide closed hours are drawn, as a share of the widest day's work."""
LEAST_WAIT = 45
"""Shorter waits are not drawn by themselves [min]."""
PITCH, BAR, HEAD, FOOT, HOURS = 17.0, 10.0, 36.0, 40.0, 14.0
HOUR_ROOM = 120.0
"""Days drawn as wide as this have their hours named [units]."""
WIDE_LETTER = 7.2
"""A letter of the marks' names [px]."""
LETTER = 6.3
"""An average letter of 12 px [px], by which names are cut to their column."""
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
STAGES = {"strip-down": "Strip-down", "rebuild": "Rebuild", "check": "Checks"}
PLACES = {
    "car": "Car", "bench": "Bench", "rack": "Rack", "spray spot": "Spray spot", "press": "Press", "oven": "Oven",
    "line": "Line", "away": "Away",
}  # fmt: skip
WHOLE = "Whole cabin"
MANY = 60
"""So many rows at the most in one picture."""


@dataclass(frozen=True)
class Clock:
    """Where an instant is drawn: open hours in proportion, closed ones narrow."""

    knots: tuple[tuple[datetime, float], ...]

    def at(self, when: datetime) -> float:
        """Its place across; before the first and after the last it stays at the edge."""
        for (since, x1), (until, x2) in zip(self.knots, self.knots[1:], strict=False):
            if when < until:
                return Axis(0, minutes_between(since, until), x1, x2).at(max(0, minutes_between(since, when)))
        return self.knots[-1][1]


@dataclass(frozen=True)
class Row:
    """One line of the chart."""

    name: str
    tasks: tuple[Task, ...]


def calendar_chart(
    calendar: Calendar,
    names: Mapping[str, str],
    *,
    rows: Rows = "parts",
    since: date | None = None,
    days: int | None = None,
    part: int = 1,
    promised: datetime | None = None,
    now: datetime | None = None,
    title: str = "The bench calendar",
    wide: float = 390.0,
    name: str = "calendar",
    style: Style = "page",
) -> str:
    """The calendar as SVG; `names` are the parts' by id.

    `since` and `days` zoom in on some days of it, then only rows with something on those days are drawn; a picture has
    at most `MANY` rows, and `part` says which picture of several it is. `promised` and `now` are marked where they lie
    inside.
    """
    first, last = window(calendar, since, days)
    told = chart_rows(calendar, names, rows, first, last)[(part - 1) * MANY : part * MANY]
    left = 12 + min(max((len(row.name) for row in told), default=4) * LETTER, wide * 0.34)
    top = HEAD + (HOURS if (wide - left) / ((last - first).days + 1) >= HOUR_ROOM else 0.0)
    clock = clock_of(calendar, first, last, left, wide - 8)
    foot = top + max(1, len(told)) * PITCH
    inside = Box(left, top, wide - 8, foot)
    body = "".join([
        _hatch(name),
        *_days(calendar, first, last, clock, inside),
        *(_row(row, top + number * PITCH, calendar, clock, inside, name) for number, row in enumerate(told)),
        *_marks(calendar, clock, inside, promised, now),
        *_key(foot + 16, name, wide),
    ])  # fmt: skip
    return picture(
        name,
        Box(0.0, 0.0, wide, foot + FOOT + (14 if wide < 500 else 0)),
        title=title,
        telling=telling(calendar, told, first, last, promised),
        body=body,
        style=style,
    )


def pictures(calendar: Calendar, names: Mapping[str, str], rows: Rows = "parts") -> int:
    """How many pictures the whole calendar takes."""
    first, last = window(calendar, None, None)
    return max(1, -(-len(chart_rows(calendar, names, rows, first, last)) // MANY))


def window(calendar: Calendar, since: date | None, days: int | None) -> tuple[date, date]:
    """The first and the last day that is drawn."""
    begun = calendar.slots[0].start.date() if calendar.slots else calendar.bench.start.date()
    first = since or begun
    last = calendar.end.date() if days is None else first + timedelta(days=days - 1)
    return first, max(first, last)


def telling(calendar: Calendar, rows: Sequence[Row], first: date, last: date, promised: datetime | None) -> str:
    """What the picture says, in words."""
    said = [f"{len(rows)} rows from {_day(first)} to {_day(last)}", f"hand-over {_moment(calendar.end)}"]
    if promised is not None:
        said.append(f"ready by {_moment(promised)} in 8 of 10 cases")
    return "; ".join(said) + "."


# ---- rows ------------------------------------------------------------------------------------------------------------


def chart_rows(calendar: Calendar, names: Mapping[str, str], rows: Rows, first: date, last: date) -> list[Row]:
    """Every row with something on these days, in the order in which they begin; stages of the car first and last."""
    grouped: dict[str, list[Task]] = {}
    for slot in calendar.slots:
        task = calendar.bench.by_id[slot.task]
        if until(task, calendar).date() >= first and slot.start.date() <= last:
            grouped.setdefault(_row_of(task, names, rows), []).append(task)
    order = sorted(grouped, key=lambda each: _place_of(each, list(grouped)))
    return [Row(each, tuple(grouped[each])) for each in order]


def _row_of(task: Task, names: Mapping[str, str], rows: Rows) -> str:
    if rows == "places":
        return PLACES[task.place]
    if task.kind in STAGES:
        return STAGES[task.kind]
    return names.get(task.part, task.part) if task.part else WHOLE


def _place_of(row: str, begun: Sequence[str]) -> tuple[int, int]:
    """Strip-down first, rebuild and checks last, the rest in the order in which it begins."""
    stage = {"Strip-down": 0, WHOLE: 1, "Rebuild": 3, "Checks": 4}.get(row, 2)
    return stage, list(PLACES.values()).index(row) if row in PLACES.values() else begun.index(row)


def until(task: Task, calendar: Calendar) -> datetime:
    """When the last wait after a task is over."""
    end = calendar.by_task[task.id].end
    return max([end, *(moved(end, wait) for wait, _ in _waits_after(task, calendar))])


def _waits_after(task: Task, calendar: Calendar) -> Iterator[tuple[int, Task]]:
    for each, after in calendar.bench.followers[task.id]:
        if each.wait[1] >= LEAST_WAIT:
            yield each.wait[1], after


# ---- across ----------------------------------------------------------------------------------------------------------


def clock_of(calendar: Calendar, first: date, last: date, left: float, right: float) -> Clock:
    """The drawn time of these days: each open span in proportion, each night alike."""
    zone = calendar.bench.hours.zone
    start = datetime(first.year, first.month, first.day, tzinfo=zone)
    end = datetime(last.year, last.month, last.day, tzinfo=zone) + timedelta(days=1)
    spans = list(open_spans(calendar.bench.hours, start, end))
    longest = max((minutes_between(*span) for span in spans), default=1)
    turns, widths = [start], list[float]()
    for opens, closes in spans:
        if opens > turns[-1]:
            turns.append(opens)
            widths.append(NIGHT * longest)
        turns.append(closes)
        widths.append(float(minutes_between(opens, closes)))
    if end > turns[-1]:
        turns.append(end)
        widths.append(NIGHT * longest)
    scale = (right - left) / (sum(widths) or 1.0)
    x, knots = left, [(turns[0], left)]
    for turn, width in zip(turns[1:], widths, strict=True):
        x += width * scale
        knots.append((turn, x))
    return Clock(tuple(knots))


def _days(calendar: Calendar, first: date, last: date, clock: Clock, inside: Box) -> Iterator[str]:
    """Closed hours shaded, a line where each day opens, and its name where there is room for it."""
    zone = calendar.bench.hours.zone
    start = datetime(first.year, first.month, first.day, tzinfo=zone)
    end = datetime(last.year, last.month, last.day, tzinfo=zone) + timedelta(days=1)
    closed, named, by_hours = inside.left, -1e9, inside.top > HEAD
    for opens, closes in open_spans(calendar.bench.hours, start, end):
        x = clock.at(opens)
        yield bar("closed", closed, inside.top, max(0.0, x - closed), inside.high)
        closed = clock.at(closes)
        words = _day(opens.date())
        wide = closed - x
        month = words.partition(" ")[2]
        for shown in (words, month, str(opens.day)):
            tells = shown == month and (named < 0 or opens.day == 1)  # the month once, even where it is tight
            room = inside.right - x if tells or opens.date() == last else wide
            if x >= named and len(shown) * LETTER <= max(wide, room):
                yield text(shown, x + 1, inside.top - 8 - (HOURS if by_hours else 0.0), "faint")
                named = x + len(shown) * LETTER + 4
                break
        if by_hours:
            yield from _hours(opens, closes, clock, inside)
    yield bar("closed", closed, inside.top, max(0.0, inside.right - closed), inside.high)
    yield line("ruler", inside.left, inside.top, inside.right, inside.top)


def _hours(opens: datetime, closes: datetime, clock: Clock, inside: Box) -> Iterator[str]:
    """Every second hour of a day, or every one where there is room."""
    wide = (clock.at(closes) - clock.at(opens)) / max(1, minutes_between(opens, closes)) * 60
    every = 1 if wide >= 3 * LETTER else 2 if wide >= 1.6 * LETTER else 4
    hour = opens.replace(minute=0)
    while hour <= closes:
        if hour >= opens and (hour.hour - opens.hour) % every == 0:
            x = clock.at(hour)
            yield text(str(hour.hour), x, inside.top - 6, "faint middle")
            yield line("row-line", x, inside.top, x, inside.bottom)
        hour = moved(hour, 60)


def _row(row: Row, top: float, calendar: Calendar, clock: Clock, inside: Box, name: str) -> str:
    """The name, the waits under the work, the work, and where a window closes."""
    shown = fitted(row.name, int((inside.left - 12) / LETTER) + 1)
    middle = top + PITCH / 2
    drawn = [text(shown, 2, middle + 4, ""), line("row-line", inside.left, top + PITCH, inside.right, top + PITCH)]
    for task in row.tasks:
        end = calendar.by_task[task.id].end
        drawn += [
            _hatched(clock.at(end), clock.at(moved(end, wait)), middle, name)
            for wait in {wait for wait, _ in _waits_after(task, calendar)}
        ]
    drawn += [_bar(task, calendar, clock, middle) for task in row.tasks]
    drawn += [each for task in row.tasks for each in _windows(task, calendar, clock, middle, inside)]
    return "".join(drawn)


def _bar(task: Task, calendar: Calendar, clock: Clock, middle: float) -> str:
    """Hands-on work as a bar that says what it is; what is on its way as an arrow."""
    slot = calendar.by_task[task.id]
    start, end = clock.at(slot.start), clock.at(slot.end)
    if task.people:
        drawn = bar("made" if task.done else "work", start, middle - BAR / 2, max(1.2, end - start), BAR)
        return f'<g data-task="{escape(task.id)}"><title>{_title(task, calendar)}</title>{drawn}</g>'
    return line("on-its-way", start, middle, end, middle) + _arrow(end, middle) if end > start else ""


def _hatched(start: float, end: float, middle: float, name: str) -> str:
    if end - start < 1:
        return ""
    return (
        f'<rect class="wait" fill="url(#{name}-wait)" x="{start:.1f}" y="{middle - BAR / 2 + 1.5:.1f}" '
        f'width="{end - start:.1f}" height="{BAR - 3:.1f}"/>'
    )


def _arrow(x: float, y: float) -> str:
    return f'<path class="arrives" d="M{x - 5:.1f} {y - 3.5:.1f}L{x:.1f} {y:.1f}L{x - 5:.1f} {y + 3.5:.1f}"/>'


def _windows(task: Task, calendar: Calendar, clock: Clock, middle: float, inside: Box) -> Iterator[str]:
    """A mark where the task must be begun at the latest, unless it lies outside or the task is done."""
    for each in task.after:
        if each.closes is None or task.done is not None:
            continue
        x = clock.at(moved(calendar.by_task[each.task].end, each.closes))
        if inside.left < x < inside.right:
            yield (
                f'<path class="window" d="M{x:.1f} {middle - PITCH / 2 + 1:.1f}V{middle + PITCH / 2 - 1:.1f}'
                f'M{x:.1f} {middle:.1f}l-4 -3.5v7z"/>'
            )


def _marks(
    calendar: Calendar, clock: Clock, inside: Box, promised: datetime | None, now: datetime | None
) -> Iterator[str]:
    """Lines down through all rows: now, the hand-over, and what can be promised; words where there is room."""
    taken: list[tuple[float, float]] = []
    for when, look, words in (
        (now, "mark-line", "now"),
        (calendar.end, "end-line", "hand-over"),
        (promised, "guide", "8 in 10"),
    ):
        if when is None or not clock.knots[0][0] <= when <= clock.knots[-1][0]:
            continue
        x, long = clock.at(when), len(words) * WIDE_LETTER
        yield line(look, x, inside.top - 4, x, inside.bottom)
        sides = ["end", "start"] if x > (inside.left + inside.right) / 2 else ["start", "end"]
        for side in sides:
            start = x + 3 if side == "start" else x - 3 - long
            fits = start >= 0 and start + long <= inside.right + 8
            if fits and all(start > right or start + long < left for left, right in taken):
                taken.append((start, start + long))
                kind = "accent" if look == "mark-line" else "strong"
                yield text(words, x + (3 if side == "start" else -3), HEAD - 24, f"{kind} {side}")
                break


def _key(y: float, name: str, wide: float) -> Iterator[str]:
    """What the marks mean, in a line below, in two where it is narrow."""
    x, low = 2.0, y
    for drawn, words in (
        (bar("work", 0, -9, 14, BAR), "hands at work"),
        (f'<rect class="wait" fill="url(#{name}-wait)" x="0" y="-8" width="14" height="8"/>', "dries or cures"),
        (line("on-its-way", 0, -4, 14, -4) + _arrow(14, -4), "on its way"),
        ('<path class="window" d="M8 -10V1M8 -4l-4 -3.5v7z"/>', "window closes"),
        (bar("closed", 0, -9, 14, BAR), "closed"),
    ):
        long = 18 + len(words) * LETTER + 12
        if x + long > wide:
            x, low = 2.0, low + 16
        yield f'<g transform="translate({x:.1f} {low + 8:.1f})">{drawn}{text(words, 18, 0, "faint")}</g>'
        x += long


def _hatch(name: str) -> str:
    """The pattern of a wait, whose id must be its own on a page."""
    return (
        f'<defs><pattern id="{name}-wait" width="5" height="5" patternUnits="userSpaceOnUse">'
        '<rect class="hatch-ground" width="5" height="5"/>'
        '<path class="hatch-line" d="M-1 1L1 -1M0 5L5 0M4 6L6 4"/></pattern></defs>'
    )


# ---- words -----------------------------------------------------------------------------------------------------------


def _title(task: Task, calendar: Calendar) -> str:
    slot = calendar.by_task[task.id]
    return escape(f"{task.name}, {_moment(slot.start)} to {slot.end:%H:%M}")


def fitted(name: str, most: int) -> str:
    """A name in so many letters, which of two sides it is still told.

    >>> fitted("Gear knob", 12), fitted("Front backrest cover, driver's", 20), fitted("Cloth of the headliner", 12)
    ('Gear knob', 'Front backrest… dr.', 'Cloth of th…')
    """
    if len(name) <= most:
        return name
    base, _, side = name.rpartition(", ")
    end = f"… {side[:2]}." if base else "…"
    return (base or name)[: max(1, most - len(end))].rstrip(" ,") + end


def _day(day: date) -> str:
    """A day, the same in every locale.

    >>> _day(date(2026, 3, 2))
    'Mon 2 Mar'
    """
    return f"{DAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def _moment(when: datetime) -> str:
    return f"{_day(when.date())} {when:%H:%M}"

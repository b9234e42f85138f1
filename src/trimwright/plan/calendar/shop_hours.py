"""When the shop is open: spans of open time in its own time zone, and instants a number of minutes apart.

Minutes between instants are those that pass, so a day on which the clocks change has 23 or 25 hours; opening and
closing are by the clock on the wall.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from trimwright.errors import BadInput, Problem
from trimwright.job.document import TimeTerms
from trimwright.job.refusals import near
from trimwright.plan.calendar.tasks import Hours

DAY_MINUTES = 24 * 60
FURTHEST = timedelta(days=2000)
"""How far ahead an opening is looked for."""


# ---- from the document -----------------------------------------------------------------------------------------------


def hours_of(terms: TimeTerms, talk_share: float = 0.0) -> Hours:
    """The shop's hours; BadInput with everything that is wrong: no such zone, no hours in the week, past midnight.

    The end of each day is kept free for talk, ordering and clearing up, `talk_share` of what is worked before.
    """
    problems = list(_problems(terms))
    if problems:
        raise BadInput(problems)
    return Hours(
        zone=_zone(terms.zone),
        week=tuple(int(each * 60 / (1 + talk_share)) for each in terms.week),
        opens=terms.opens,
        days_off=frozenset(terms.days_off),
    )


def _problems(terms: TimeTerms) -> Iterator[Problem]:
    if terms.zone and not _is_zone(terms.zone):
        way_out = near(terms.zone, dict.fromkeys(sorted(available_timezones()))) or "Such as Europe/London."
        yield Problem("time › zone", terms.zone, "is no time zone.", way_out)
    if not any(round(each * 60) for each in terms.week):
        yield Problem("time › week", "", "has no working hours.", "Give at least one day of the week some hours.")
    opens = terms.opens.hour * 60 + terms.opens.minute
    longest = max(terms.week)
    if opens + round(longest * 60) > DAY_MINUTES:
        what = f"and {longest:g} hours would end after midnight."
        yield Problem("time › opens", f"{terms.opens:%H:%M}", what, "Open earlier, or take hours off the longest day.")


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def _zone(name: str) -> ZoneInfo:
    """The zone of this name; of no name, that of the machine, or UTC where it does not tell."""
    if name:
        return ZoneInfo(name)
    from tzlocal import get_localzone_name

    own = get_localzone_name()
    return ZoneInfo(own if own and _is_zone(own) else "UTC")


# ---- instants --------------------------------------------------------------------------------------------------------


def minutes_between(start: datetime, end: datetime) -> int:
    """Whole minutes that pass from one instant to the other, whatever the clocks do; negative when `end` is first."""
    return int((end.astimezone(UTC) - start.astimezone(UTC)) // timedelta(minutes=1))


def moved(instant: datetime, minutes: int) -> datetime:
    """The instant so many minutes later, in the same zone."""
    return (instant.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(instant.tzinfo)


def midnight_of(day: date, zone: ZoneInfo) -> datetime:
    """The first instant of a day."""
    return datetime.combine(day, time(), zone)


# ---- open time -------------------------------------------------------------------------------------------------------


def opening_of(hours: Hours, day: date) -> datetime | None:
    """When the shop opens on a day; None when it is closed all day."""
    if day in hours.days_off or not hours.week[day.weekday()]:
        return None
    return datetime.combine(day, hours.opens, hours.zone)


def closing_of(hours: Hours, day: date) -> datetime | None:
    """When it closes: its working minutes after it opens, as they pass; None when it is closed all day."""
    opening = opening_of(hours, day)
    return None if opening is None else moved(opening, hours.week[day.weekday()])


def open_spans(hours: Hours, start: datetime, until: datetime) -> Iterator[tuple[datetime, datetime]]:
    """Every span of open time that reaches past `start` and begins before `until`, whole, in order."""
    day = start.astimezone(hours.zone).date() - timedelta(days=1)
    last = until.astimezone(hours.zone).date()
    while day <= last:
        opening, closing = opening_of(hours, day), closing_of(hours, day)
        if opening is not None and closing is not None and closing > start and opening < until:
            yield opening, closing
        day += timedelta(days=1)


def first_fit(hours: Hours, since: datetime, minutes: int) -> datetime | None:
    """The first instant from `since` on with so many open minutes ahead of it; None when no day is as long."""
    if minutes > max(hours.week):
        return None
    for opening, closing in open_spans(hours, since, since + FURTHEST):
        start = max(opening, since.astimezone(hours.zone))
        if minutes_between(start, closing) >= minutes:
            return start
    return None


def usual_stretch(hours: Hours) -> int:
    """The open minutes that most working days have; of two equally common, the shorter."""
    worked = [each for each in hours.week if each]
    return min(worked, key=lambda each: (-worked.count(each), each))


def starting(
    terms: TimeTerms, hours: Hours, now: datetime, wanted: date | None = None, *, begun: bool = False
) -> datetime:
    """The first instant of the plan: the day asked for, else the job's own first day, else now.

    Work that has begun goes on from now whatever the job's first day was. BadInput for a day asked for that is over.
    """
    now = now.astimezone(hours.zone)
    today = now.date()
    if wanted is not None and wanted < today:
        what = "is over: nothing can be planned for it."
        raise BadInput(Problem("--from", f"{wanted:%Y-%m-%d}", what, f"Start on {today:%Y-%m-%d} or later."))
    day = wanted or (None if begun else terms.start)
    if day is None or day <= today:
        if wanted is None and day is not None and day < today:
            what = "is over, and nothing has been noted as done."
            way_out = "Give a later day in time › start, or ask for a day of your own; or note what has been done."
            raise BadInput(Problem("time › start", f"{day:%Y-%m-%d}", what, way_out))
        return now.replace(second=0, microsecond=0)
    return midnight_of(day, hours.zone)

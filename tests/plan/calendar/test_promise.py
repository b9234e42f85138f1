"""The promised day: closed forms of triangular chains, and what more spread, slower posts and more hands must do."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from math import sqrt
from time import process_time
from typing import Any

import pytest
from scipy import stats

from tests.plan.calendar.benches import ALWAYS, bench, chain, door_card, door_card_laid, even, in_a_row
from trimwright.plan.calendar.promise import SURE, promise
from trimwright.plan.calendar.tasks import After, Calendar, Task

DRAWS = 4000


def minutes(calendar: Calendar, when: datetime) -> float:
    return (when - calendar.bench.start).total_seconds() / 60


def triangle(low: int, likely: int, high: int) -> Any:
    return stats.triang((likely - low) / (high - low), low, high - low)


@pytest.mark.parametrize("figures", [(60, 120, 600), (100, 400, 420), (10, 10, 1000)])
def test_one_task_ends_as_the_triangle_says(figures: tuple[int, int, int]) -> None:
    """Quantiles of the triangular distribution as scipy has them; 4 standard errors of a quantile."""
    calendar = chain(figures)
    told = promise(calendar, draws=DRAWS)
    law = triangle(*figures)
    for percent, when in told.quantiles.items():
        share = percent / 100
        error = sqrt(share * (1 - share) / DRAWS) / law.pdf(law.ppf(share))
        assert minutes(calendar, when) == pytest.approx(law.ppf(share), abs=4 * error + 1)


def test_a_long_chain_ends_as_the_normal_law_says() -> None:
    """Forty like tasks in a row: mean and variance add up, and the sum is near enough normal (central limit)."""
    figures = (20, 40, 120)
    calendar = chain(*[figures] * 40)
    law = triangle(*figures)
    told = promise(calendar, draws=DRAWS)
    total = stats.norm(40 * law.mean(), sqrt(40 * law.var()))
    for percent, when in told.quantiles.items():
        assert minutes(calendar, when) == pytest.approx(total.ppf(percent / 100), abs=0.05 * law.std() * sqrt(40) * 4)


def test_the_pace_is_common_to_all_work() -> None:
    """With the hours factor's spread alone the sum is normal with that spread, and doesn't even out over many tasks."""
    calendar = chain(*[even(100)] * 30)
    told = promise(calendar, hours_spread=0.2, draws=DRAWS)
    total = stats.norm(3000, 600)
    assert minutes(calendar, told.at) == pytest.approx(total.ppf(0.8), rel=0.02)


def test_a_wait_is_drawn_like_work() -> None:
    wait = (100, 200, 900)
    calendar = in_a_row(
        bench(
            Task("first", "bench", "first", minutes=even(10)),
            Task("next", "bench", "next", minutes=even(10), after=(After("first", wait, why="cure"),)),
            hours=ALWAYS,
            start=chain(even(1)).bench.start,
        )
    )
    told = promise(calendar, draws=DRAWS)
    assert minutes(calendar, told.at) == pytest.approx(20 + triangle(*wait).ppf(0.8), rel=0.03)
    assert [(each.kind, each.task) for each in told.drivers] == [("wait", "next")]


def test_without_spread_the_promise_is_the_day_itself() -> None:
    calendar = chain(*[even(50)] * 8)
    told = promise(calendar)
    assert set(told.quantiles.values()) == {calendar.end}
    assert told.drivers == ()


def test_the_same_seed_promises_the_same_and_another_nearly() -> None:
    calendar = door_card_laid()
    told = promise(calendar, hours_spread=0.2)
    assert told == promise(calendar, hours_spread=0.2)
    other = promise(calendar, hours_spread=0.2, seed=2)
    assert abs(other.at - told.at) <= timedelta(days=1)


def test_a_slower_post_never_promises_sooner_and_is_what_drives_it() -> None:
    calendar = door_card_laid()
    slow = replace(
        calendar.bench,
        tasks=tuple(
            replace(each, minutes=(1440, 5 * 1440, 12 * 1440)) if each.id == "knob" else each
            for each in calendar.bench.tasks
        ),
    )
    late = promise(replace(calendar, bench=slow))
    assert late.at >= promise(calendar).at
    first = late.drivers[0]
    assert (first.kind, first.task) == ("delivery", "knob")
    assert first.days > 1


def test_quantiles_rise() -> None:
    told = promise(door_card_laid(), hours_spread=0.25)
    rising = [told.quantiles[each] for each in sorted(told.quantiles)]
    assert rising == sorted(rising)
    assert told.at == told.quantiles[SURE]


def test_work_stops_at_closing_and_windows_are_kept() -> None:
    """Only the likely figures: the door card can be lived through as it is laid, and no window is missed."""
    calendar = door_card_laid()
    tasks = tuple(
        replace(
            each,
            minutes=even(each.minutes[1]),
            after=tuple(replace(after, wait=even(after.wait[1])) for after in each.after),
        )
        for each in door_card().tasks
    )
    told = promise(replace(calendar, bench=replace(calendar.bench, tasks=tasks)))
    assert told.missed == 0
    assert told.at == calendar.end
    assert promise(calendar, hours_spread=0.25).missed < 0.05  # somebody careful hardly ever misses one


def test_what_is_done_is_no_longer_drawn() -> None:
    calendar = door_card_laid()
    done = {"battery", "off", "clean", "coat1", "coat2", "knob"}
    tasks = tuple(
        replace(each, done=calendar.by_task[each.id].end) if each.id in done else each for each in calendar.bench.tasks
    )
    midway = replace(calendar.bench, tasks=tasks, start=calendar.by_task["seat"].start)
    told = promise(replace(calendar, bench=midway))
    assert {each.task for each in told.drivers} <= {"seat", "back", None}
    assert told.at > midway.start


def test_three_hundred_tasks_are_lived_through_in_a_second() -> None:
    tasks = [
        Task(
            f"t{number}", "bench", f"step {number}", minutes=(10, 20, 45), place="rack", room=150_000, keeps_place=120,
            after=(After(f"t{number - 100}", (10, 30, 90), closes=240, why="flash"),) if number >= 100 else (),
        )
        for number in range(350)
    ]  # fmt: skip
    calendar = in_a_row(bench(*tasks))
    started = process_time()
    promise(calendar, hours_spread=0.25)
    assert process_time() - started < 4  # about 1 s


def test_a_window_that_cannot_be_kept_ends_all_the_same() -> None:
    """A coat whose next may only go on in the night: the window is missed, told, and nobody waits for ever."""
    calendar = in_a_row(
        bench(
            Task("coat", "bench", "coat", minutes=even(30)),
            Task("next", "bench", "next", minutes=even(30), after=(After("coat", even(540), closes=600),)),
            Task("other", "bench", "other", minutes=even(60)),
        )
    )
    told = promise(calendar)
    assert told.missed == 1
    assert told.at.date() == calendar.bench.start.date() + timedelta(days=1)

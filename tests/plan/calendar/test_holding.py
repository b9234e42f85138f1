"""What holds the date: the chain from the first day to the hand-over, and where its time goes."""

from __future__ import annotations

from dataclasses import replace

from tests.plan.calendar.benches import bench, door_card_laid, even, laid
from trimwright.plan.calendar.holding import holding
from trimwright.plan.calendar.tasks import After, Task


def test_the_cure_holds_the_door_card() -> None:
    found = holding(door_card_laid())
    assert [each.task.id for each in found.links][-3:] == ["back", "fit", "lamp"]
    cure = next(each for each in found.links if each.task.id == "back")
    assert (cure.held, cure.by, cure.wait, cure.why) == ("wait", "coat2", 2160, "cure")
    assert found.shares[0].name == "cure after second coat"
    assert found.shares[0].minutes == 44 * 60 + 30  # Monday 11:30 to Wednesday 08:00


def test_shares_add_up_to_the_time_to_the_hand_over() -> None:
    calendar = door_card_laid()
    whole = (calendar.end - calendar.bench.start).total_seconds() / 60
    assert sum(each.minutes for each in holding(calendar).shares) == whole


def test_a_delivery_that_comes_last_is_the_chain() -> None:
    tasks = (
        Task("knob", "delivery", "gear knob", place="away", people=0, minutes=even(5 * 1440)),
        Task("work", "bench", "work", minutes=even(60)),
        Task("fit", "rebuild", "knob on", minutes=even(10), after=(After("knob"), After("work"))),
    )
    calendar = laid(bench(*tasks), {"knob": "0 08:00", "work": "0 08:00", "fit": "7 08:00"})
    found = holding(calendar)
    assert [(each.task.id, each.held) for each in found.links] == [("knob", "start"), ("fit", "delivery")]
    assert found.shares[0].task == "knob"


def test_a_delivery_ordered_late_to_keep_money_back_holds_nothing() -> None:
    tasks = (
        Task("knob", "delivery", "gear knob", place="away", people=0, minutes=even(1440)),
        Task("work", "bench", "work", minutes=even(400)),
        Task("more", "bench", "more", minutes=even(400), after=(After("work"),)),
        Task("fit", "rebuild", "knob on", minutes=even(10), after=(After("knob"), After("more"))),
    )
    calendar = laid(bench(*tasks), {"work": "0 08:00", "knob": "0 14:40", "more": "1 08:00", "fit": "1 14:40"})
    assert [each.task.id for each in holding(calendar).links] == ["work", "more", "fit"]


def test_hands_and_places_hold_too() -> None:
    tasks = (
        Task("one", "bench", "one", minutes=even(300)),
        Task("two", "bench", "two", minutes=even(300)),
    )
    calendar = laid(bench(*tasks), {"one": "0 08:00", "two": "1 08:00"})
    assert holding(calendar).links[-1].held == "hands"
    sprayed = tuple(replace(each, place="spray spot", keeps_place=60) for each in tasks)
    two_hands = laid(bench(*sprayed, hands=2), {"one": "0 08:00", "two": "1 08:00"})
    last = holding(two_hands).links[-1]
    assert (last.held, last.by) == ("place", "one")


def test_a_date_of_its_own_holds_a_task() -> None:
    task = Task("visit", "bench", "visit", minutes=even(30))
    calendar = laid(bench(task), {"visit": "3 08:00"})
    dated = replace(task, not_before=calendar.slots[0].start)
    held = holding(replace(calendar, bench=replace(calendar.bench, tasks=(dated,)))).links[0]
    assert held.held == "date"

"""Random benches as large as a real cabin's: strip-down, recipes with windows that close, deliveries, rebuild."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

from trimwright.plan.calendar.project import Activity, Holds, Lag, Project

DAY = 24 * 60
OPENS, WORKED = 8 * 60, 510
RACK = 3_000_000
"""mm²."""


@dataclass
class Drawn:
    """A project while it is being drawn."""

    weeks: int
    activities: list[Activity] = field(default_factory=list)
    lags: list[Lag] = field(default_factory=list)

    def open_for(self, minutes: int) -> tuple[tuple[int, int], ...]:
        """When something for hands may start: Monday to Friday, so that it ends before the shop closes."""
        days = (day for day in range(7 * self.weeks) if day % 7 < 5)
        return tuple((day * DAY + OPENS, day * DAY + OPENS + WORKED - minutes) for day in days)

    def hands_on(self, name: str, minutes: int, *holds: Holds, group: str = "") -> str:
        """A task for the one pair of hands."""
        self.activities.append(
            Activity(name, minutes, (Holds("hands"), *holds), starts=self.open_for(minutes), group=group)
        )
        return name

    def wait(self, before: str, after: str, least: int = 0, most: int | None = None) -> None:
        """One that comes after another."""
        self.lags.append(Lag(before, after, least, most))


def random_bench(seed: int, parts: int = 44, weeks: int = 9) -> Project:
    """About eight tasks a part; minutes from a Monday's midnight."""
    random, drawn = Random(seed), Drawn(weeks)
    off = strip_down(drawn, random, parts)
    ready = [recipe(drawn, random, part, off[part]) for part in range(parts)]
    for number in range(parts // 4):
        delivered = f"delivery {number}"
        drawn.activities.append(Activity(delivered, random.randint(2, 6) * DAY, tied_up=random.randint(500, 9000)))
        drawn.wait(delivered, random.choice([name for name in by_name(drawn) if name.startswith("clean")]))
    rebuild(drawn, random, off, ready)
    rooms = {"hands": 1, "spray spot": 1, "press": 2, "rack": RACK}
    return Project(tuple(drawn.activities), tuple(drawn.lags), rooms, weeks * 7 * DAY)


def by_name(drawn: Drawn) -> list[str]:
    """The names drawn so far."""
    return [each.id for each in drawn.activities]


def strip_down(drawn: Drawn, random: Random, parts: int) -> list[str]:
    """Battery off, its wait, then every part off, each after one or two that cover it."""
    battery = drawn.hands_on("battery off", 10, group="car")
    off: list[str] = []
    for part in range(parts):
        name = drawn.hands_on(f"off {part}", random.randrange(5, 30, 5), group="car")
        if off:
            for cover in {random.choice(off[-8:]) for _ in range(random.randint(1, 2))}:
                drawn.wait(cover, name)
        else:
            drawn.wait(battery, name, 30)
        off.append(name)
    return off


def recipe(drawn: Drawn, random: Random, part: int, off: str) -> str:
    """What is done to a part off the car; the last task's name."""
    last = drawn.hands_on(f"clean {part}", random.randrange(10, 40, 5), group="bench")
    drawn.wait(off, last)
    kind = random.choice(("clean", "dye", "dye", "paint", "glue", "glue"))
    if kind in {"dye", "paint"}:
        area = random.randrange(50_000, 900_000, 1000)
        prepared = drawn.hands_on(f"prepare {part}", random.randrange(10, 40, 5), group="bench")
        drawn.wait(last, prepared, random.choice((0, 60, 120)))
        last = prepared
        for coat in range(random.randint(2, 3)):
            dry = Holds("rack", area, random.choice((30, 60)))
            name = drawn.hands_on(
                f"coat {part}.{coat}", random.randrange(5, 20, 5), Holds("spray spot"), dry, group=f"spray {part % 3}"
            )
            drawn.wait(last, name, 20 if coat else 0, random.choice((120, 240, 480)) if coat else None)
            last = name
        done = drawn.hands_on(f"look over {part}", 5, group="bench")
        drawn.wait(last, done, random.choice((720, 1440, 2880)))
        last = done
    elif kind == "glue":
        glued = drawn.hands_on(f"glue {part}", random.randrange(10, 45, 5), Holds("press", 1, 240), group="glue")
        drawn.wait(last, glued, random.choice((0, 480)))
        trimmed = drawn.hands_on(f"trim {part}", random.randrange(10, 60, 5), group="bench")
        drawn.wait(glued, trimmed, random.choice((240, 1440)))
        last = trimmed
    return last


def rebuild(drawn: Drawn, random: Random, off: list[str], ready: list[str]) -> None:
    """Back in the reverse order, each when it is ready; then the battery and the tests."""
    covers = {(lag.after, lag.before) for lag in drawn.lags if lag.before in off and lag.after in off}
    back = {name: drawn.hands_on(f"back {name[4:]}", random.randrange(5, 35, 5), group="car") for name in off}
    for name, done in zip(off, ready, strict=True):
        drawn.wait(done, back[name])
    for covered, cover in covers:
        drawn.wait(back[covered], back[cover])
    battery = drawn.hands_on("battery on", 10, group="car")
    for name in back.values():
        drawn.wait(name, battery)
    for test in range(6):
        drawn.wait(battery, drawn.hands_on(f"test {test}", random.randrange(5, 20, 5), group="car"))

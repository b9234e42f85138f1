"""The verdicts as a mixed-integer program: what is decided, and the rules it obeys (see docs/verdict-model.md).

One column a course and level of support, one a pack, a shared item, a step, a hidden fault; money, minutes and
points are whole numbers on the columns. The reserve z·(√V + Σ swings) is covered from above by tangents.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import permutations
from math import sqrt
from typing import TYPE_CHECKING

from trimwright.plan.quantities.cabin import Course, Hidden, PartOptions, Quantities
from trimwright.plan.verdicts import charges, supply
from trimwright.plan.verdicts.program import INF, Program
from trimwright.plan.verdicts.tangents import TANGENT_RATIO, tangent_points

if TYPE_CHECKING:
    from trimwright.plan.verdicts.program import Values


HIGHEST_Z = 8.0
"""No reserve is asked for beyond this many standard deviations."""


@dataclass
class Figures:
    """What each column adds: points, expected money [minor], minutes, variance [minor²], swing [minor]."""

    points: list[int] = field(default_factory=list)
    expected: list[int] = field(default_factory=list)
    minutes: list[int] = field(default_factory=list)
    variance: list[float] = field(default_factory=list)
    swing: list[float] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Choice:
    """A course at a level of support: what column it is."""

    column: int
    course: Course
    level: int


@dataclass(frozen=True, slots=True)
class Tangent:
    """A tangent of √V: the column that picks it, and the V it is picked for (in the model's own unit)."""

    pick: int
    low: float
    top: float


class VerdictModel:
    """The program of one `Quantities`, with the columns named by what they mean."""

    def __init__(self, quantities: Quantities) -> None:
        self.quantities = quantities
        self.terms = quantities.terms
        self.program = Program()
        self.figures = Figures()
        self.parts = {part.part: part for part in quantities.parts}
        self.choices: dict[str, list[Choice]] = {}
        self.packs: dict[tuple[str, str], int] = {}
        self.steps: dict[str, int] = {}
        self.shared: dict[str, int] = {}
        self.hidden: dict[str, int] = {}

        self._choose_courses()
        self._open_steps_and_share()
        self._one_course_a_part()
        self._bear_what_lies_on_it()
        self._reach_through_steps()
        self._uncover_hidden_faults()
        supply.buy_packs(self)
        supply.pay_carriage(self)
        self._match_sets()
        self._match_neighbours()
        self.reserve_row, self.spread = self._hold_a_reserve()
        # nothing in a decision; walk-away prices and hours ask how far these could go
        self.paid, self.extra = self.column("paid", 0.0), self.column("extra", 0.0)
        self.beats = self.column("beats", 0.0, integer=True)
        self.money_row, self.expected_row, self.hours_row, self.points_row = self._stay_inside()

    # ---- columns -----------------------------------------------------------------------------------------

    def column(
        self,
        name: str,
        upper: float = 1.0,
        *,
        integer: bool = False,
        points: int = 0,
        expected: int = 0,
        minutes: int = 0,
        variance: float = 0.0,
        swing: float = 0.0,
    ) -> int:
        """Add a column with what it adds to points, money, minutes, variance and swing; its index."""
        column = self.program.column(name, upper, integer=integer)
        figures = self.figures
        figures.points.append(points)
        figures.expected.append(expected)
        figures.minutes.append(minutes)
        figures.variance.append(variance)
        figures.swing.append(swing)
        return column

    def _hands_on(self, minutes: float) -> dict[str, float]:
        """What hands-on minutes add: money at the mean factor, minutes, and the swing of the common factor."""
        terms = self.terms
        return {
            "expected": charges.labour(terms, minutes, terms.hours_factor),
            "minutes": charges.planned_minutes(terms, minutes),
            "swing": charges.labour(terms, minutes) * terms.hours_spread,
        }

    def _choose_courses(self) -> None:
        for part in self.quantities.parts:
            self.choices[part.part] = []
            for course in offered(part):
                for level in distinct_levels(course):
                    figures = self.figures_of(part, course, level)
                    column = self.column(f"x|{part.part}|{course.id}|{level}", integer=True, **figures)  # type: ignore[arg-type]
                    self.choices[part.part].append(Choice(column, course, level))

    def figures_of(self, part: PartOptions, course: Course, level: int) -> dict[str, float]:
        """What a course at a level of support adds to points, money, minutes, variance and swing."""
        terms = self.terms
        hands_on = self._hands_on(course.minutes)
        odds = charges.redo_odds(course.redo_at[level])
        again = round(odds * charges.redo_cost(terms, course))
        return {
            "points": course.points_at[level] - self._floor_payments(part, course, level),
            "expected": hands_on["expected"] + charges.purchases_mean(course) + again,
            "minutes": hands_on["minutes"] + charges.planned_minutes(terms, odds * course.minutes),
            "variance": charges.course_variance(terms, course, level),
            "swing": hands_on["swing"],
        }

    def _floor_payments(self, part: PartOptions, course: Course, level: int) -> int:
        settled = sum(
            charges.floor_payment(self.terms, self.parts[child], finish) for child, finish in course.settles.items()
        )
        return charges.floor_payment(self.terms, part, course.finish_at[level]) + settled

    def _open_steps_and_share(self) -> None:
        for step in self.quantities.steps.values():
            column = self.column(f"y|{step.id}", integer=True, **self._hands_on(step.minutes))  # type: ignore[arg-type]
            self.program.lower[column] = float(step.off)
            self.steps[step.id] = column
        for item in self.quantities.shared.values():
            hands_on = self._hands_on(item.minutes)
            hands_on["expected"] += item.money
            self.shared[item.id] = self.column(f"t|{item.id}", integer=True, **hands_on)  # type: ignore[arg-type]

    # ---- rules -------------------------------------------------------------------------------------------

    def _all(self, part: str) -> Iterator[Choice]:
        """The choices that decide `part`: its own, and those of the whole it belongs to that settle it."""
        yield from self.choices[part]
        whole = self.parts[part].child_of
        if whole in self.choices:
            yield from (choice for choice in self.choices[whole] if part in choice.course.settles)

    def _one_course_a_part(self) -> None:
        """Exactly one course decides a part; a held part is not settled by a whole that is not held itself."""
        for part in self.quantities.parts:
            if any(course.held for course in part.courses):
                for choice in self._all(part.part):
                    if not choice.course.held:
                        self.program.upper[choice.column] = 0.0
            self.program.row({choice.column: 1.0 for choice in self._all(part.part)}, lower=1.0, upper=1.0)

    def _bear_what_lies_on_it(self) -> None:
        """A course counted at a level of support needs each support to bear at least that, and some support to bear
        no more: a finish that is better than it is counted may be too far above its neighbours."""
        for part in self.quantities.parts:
            for level, bearing in enumerate(part.bearings[:-1]):
                needing = [choice.column for choice in self.choices[part.part] if choice.level <= level]
                for support in part.rests_on if needing else ():
                    self.program.at_most(needing, dict.fromkeys(self._bearing(support, bearing), 1.0))
                weaker = [choice.column for choice in self.choices[part.part] if self._next_better(choice) == level]
                failing = {
                    choice.column: 1.0
                    for support in part.rests_on
                    for choice in self._all(support)
                    if choice.column not in self._bearing(support, bearing)
                }
                if weaker:
                    self.program.at_most(weaker, failing)

    def _bearing(self, support: str, bearing: int) -> frozenset[int]:
        """The columns with which a support bears at least so much."""
        return frozenset(
            choice.column
            for choice in self._all(support)
            if support in choice.course.settles or choice.course.bears >= bearing
        )

    def _next_better(self, choice: Choice) -> int | None:
        """The level at which the same course is counted better; None when it is at its best."""
        better = [each.level for each in self.choices[choice.course.part] if each.course is choice.course]
        return max((level for level in better if level < choice.level), default=None)

    def _reach_through_steps(self) -> None:
        """A course needs its steps and shared items; a step needs the steps before it."""
        for choices in self.choices.values():
            by_need: dict[int, list[int]] = defaultdict(list)
            for choice in choices:
                for needed_step in choice.course.steps:
                    by_need[self.steps[needed_step]].append(choice.column)
                for item in choice.course.once:
                    by_need[self.shared[item]].append(choice.column)
            for needed, needing in by_need.items():
                self.program.at_most(needing, {needed: 1.0})
        for step in self.quantities.steps.values():
            for before in step.requires:
                self.program.at_most([self.steps[step.id]], {self.steps[before]: 1.0})

    def figures_of_find(self, hidden: Hidden) -> dict[str, float]:
        """What a hidden fault adds to money, minutes, variance and swing, on average."""
        terms, cost = self.terms, charges.find_cost(self.terms, hidden)
        return {
            "expected": round(hidden.chance * cost),
            "minutes": charges.planned_minutes(terms, hidden.chance * hidden.minutes.mean),
            "variance": charges.find_variance(terms, hidden),
            "swing": hidden.loading * cost,
        }

    def _uncover_hidden_faults(self) -> None:
        """Each hidden fault once: certain ones always, the others with any course or step that opens them."""
        opened_by: dict[str, list[list[int]]] = defaultdict(list)
        for choices in self.choices.values():
            finding: dict[str, list[int]] = defaultdict(list)
            for choice in choices:
                for find in choice.course.finds:
                    finding[find].append(choice.column)
            for find, columns in finding.items():
                opened_by[find].append(columns)
        for step in self.quantities.steps.values():
            for find in step.finds:
                opened_by[find].append([self.steps[step.id]])
        for hidden in self.quantities.hidden.values():
            column = self.column(f"h|{hidden.id}", integer=True, **self.figures_of_find(hidden))  # type: ignore[arg-type]
            self.hidden[hidden.id] = column
            if hidden.certain:
                self.program.lower[column] = 1.0
                continue
            for columns in opened_by[hidden.id]:
                self.program.at_most(columns, {column: 1.0})

    def _finish(self, part: str) -> dict[int, float]:
        terms: dict[int, float] = {
            choice.column: float(choice.course.finish_at[choice.level]) for choice in self.choices[part]
        }
        for choice in self._all(part):
            if part in choice.course.settles:
                terms[choice.column] = float(choice.course.settles[part])
        return terms

    def _match_sets(self) -> None:
        for number, each in enumerate(self.quantities.sets):
            parts = [part for part in each.parts if part in self.choices]
            if len(parts) > 1:
                self._keep_together(f"e|{number}", parts, each.within, each.step_points)
                self._match_looks(number, parts, each.look_points)

    def _match_neighbours(self) -> None:
        for number, pair in enumerate(self.quantities.neighbours):
            if pair.a in self.choices and pair.b in self.choices:
                self._keep_together(f"d|{number}", [pair.a, pair.b], pair.within, pair.step_points)

    def _keep_together(self, name: str, parts: list[str], within: int, step_points: int) -> None:
        """Finish steps apart beyond `within`, counted step by step: one is paid for each t where one part ends at
        t + within or better and another under t. The difference of two finishes says the same and bounds far worse.
        """
        if not step_points:
            return
        at_least = {part: self._at_least(part) for part in parts}
        for threshold in range(1, 11 - within):
            rows = [
                (above, under)
                for better, worse in permutations(parts, 2)
                if (above := at_least[better][threshold + within])
                and (under := at_least[worse][threshold]) != at_least[worse][0]
            ]
            if rows:
                apart = self.column(f"{name}|{threshold}", points=-step_points)
                for above, under in rows:
                    self.program.at_most(above, {**dict.fromkeys(under, 1.0), apart: 1.0})

    def _at_least(self, part: str) -> list[frozenset[int]]:
        """For each finish 0–10, the columns that bring the part to it or better."""
        finish = self._finish(part)
        return [frozenset(column for column, value in finish.items() if value >= step) for step in range(11)]

    def _match_looks(self, number: int, parts: list[str], look_points: int) -> None:
        if not look_points:
            return
        seen: dict[str, int] = {}
        for part in parts:
            by_look: dict[str, list[int]] = defaultdict(list)
            for choice in self._all(part):
                by_look[choice.course.look].append(choice.column)
            for look, columns in sorted(by_look.items()):
                if look not in seen:
                    seen[look] = self.column(f"look|{number}|{look}")
                self.program.at_most(columns, {seen[look]: 1.0})
        unlike = self.column(f"unlike|{number}", float(len(seen)), points=-look_points)
        self.program.row({**dict.fromkeys(seen.values(), 1.0), unlike: -1.0}, upper=1.0)

    # ---- money and time ----------------------------------------------------------------------------------

    def _hold_a_reserve(self) -> tuple[int, int]:
        """R ≥ z·(root + swings): the row of R and the column whose coefficient there is z.

        The root is the least of the tangents of √V; one binary picks the tangent, and one says V is 0. V is kept in
        squares of a hundredth of the largest root, for the solver's tolerances.
        """
        program, figures = self.program, self.figures
        most = sum(value * upper for value, upper in zip(figures.variance, program.upper, strict=True))
        unit = sqrt(most) / 100 or 1.0
        variance = {column: value / unit**2 for column, value in enumerate(figures.variance) if value}
        swings = {column: value for column, value in enumerate(figures.swing) if value}
        self.variance = self.column("variance", 1.001e4)
        self.tangents = [Tangent(self.column("tangent|none", integer=True), 0.0, 0.0)]
        root: dict[int, float] = {}
        pieces: list[int] = []
        for number, point in enumerate(tangent_points(most)):
            low, top = (0.0 if number == 0 else self.tangents[-1].top), point * sqrt(TANGENT_RATIO) / unit**2
            pick, piece = self.column(f"tangent|{number}", integer=True), self.column(f"variance|{number}", top)
            program.row({piece: 1.0, pick: -top}, upper=0.0)
            program.row({piece: 1.0, pick: -low}, lower=0.0)
            root[pick], root[piece] = sqrt(point) / 2, unit**2 / (2 * sqrt(point))
            self.tangents.append(Tangent(pick, low, top))
            pieces.append(piece)
        program.row(dict.fromkeys((each.pick for each in self.tangents), 1.0), lower=1.0, upper=1.0)
        self.variance_unit = unit**2
        self.variance_row = program.row({**variance, self.variance: -1.0}, lower=0.0, upper=0.0)
        program.row({self.variance: 1.0, **dict.fromkeys(pieces, -1.0)}, lower=0.0, upper=0.0)
        lines = sum(charges.labour(self.terms, line.minutes) for line in self.quantities.lines)
        always = lines * self.terms.hours_spread
        widest = 2 * sqrt(most) + always + sum(value * program.upper[column] for column, value in swings.items())
        spread, reserve = self.column("spread", widest), self.column("reserve", HIGHEST_Z * widest)
        self.spread_row = program.row({**root, **swings, spread: -1.0}, upper=-always)
        return program.row({spread: 1.0, reserve: -1.0}, upper=0.0), spread

    def _stay_inside(self) -> tuple[int, int, int, int]:
        """Expected money and reserve inside the sum, minutes inside the hours; and the points as a row."""
        figures, terms = self.figures, self.terms
        lines_money, lines_minutes = line_totals(self.quantities)
        reserve = self.spread + 1
        expected = {column: float(value) for column, value in enumerate(figures.expected) if value}
        minutes = {column: float(value) for column, value in enumerate(figures.minutes) if value}
        points = {column: float(value) for column, value in enumerate(figures.points) if value}
        expected |= {self.paid: 1.0}
        minutes |= {self.extra: 1.0}
        self.money_limit = float(terms.sum - lines_money)
        self.minutes_limit = INF if terms.minutes is None else float(terms.minutes - lines_minutes)
        return (
            self.program.row(
                {**expected, reserve: 1.0, self.extra: terms.labour_per_hour / 60}, upper=self.money_limit
            ),
            self.program.row({**expected, self.beats: -float(terms.sum + 1)}),
            self.program.row(minutes, upper=self.minutes_limit),
            self.program.row({**points, self.beats: -1.0}),
        )

    # ---- reading a solution --------------------------------------------------------------------------------

    def costs(self, what: str) -> Values:
        """The objective to minimise: "points" (negated), "expected", "minutes", or "money" (expected and reserve)."""
        import numpy as np

        figures = self.figures
        if what == "points":
            return -np.array(figures.points, float)
        if what == "minutes":
            return np.array(figures.minutes, float)
        if what in ("paid", "extra"):
            costs = np.zeros(len(figures.points))
            costs[self.paid if what == "paid" else self.extra] = -1.0
            return costs
        costs = np.array(figures.expected, float)
        if what == "money":
            costs[self.spread + 1] = 1.0
        return costs

    def points_of(self, values: Values) -> int:
        """The points of a solution."""
        return round(-float(self.costs("points") @ values))

    def columns_of(self, course: Course) -> list[int]:
        """The columns of a course, one a level of support."""
        return [choice.column for choice in self.choices[course.part] if choice.course.id == course.id]

    def instead_of(self, course: Course) -> list[int]:
        """The columns of everything else that could decide the course's part."""
        own = self.columns_of(course)
        return [choice.column for choice in self._all(course.part) if choice.column not in own]

    def chosen(self, values: Values) -> dict[str, Course]:
        """The course of every part that is not settled by its whole."""
        return {
            part: choice.course
            for part, choices in self.choices.items()
            for choice in choices
            if values[choice.column] > 0.5
        }

    def nearest_whole(self, relaxed: Values) -> Values:
        """A relaxed solution made whole roughly: each part's largest share wins, everything shared is rounded up."""
        import numpy as np

        whole = np.ceil(relaxed - 1e-6)
        for choices in self.choices.values():
            columns = [choice.column for choice in choices]
            best = max(columns, key=lambda column: relaxed[column], default=None)
            for column in columns:
                whole[column] = float(column == best and relaxed[column] > 1e-6)
        return whole

    def bought(self, values: Values) -> dict[tuple[str, str], int]:
        """Whole packs by (material key, pack id)."""
        return {pack: count for pack, column in self.packs.items() if (count := round(values[column]))}


def line_totals(quantities: Quantities) -> tuple[int, int]:
    """Expected money and minutes of the whole-job lines, and what is spent already."""
    terms, spent = quantities.terms, quantities.spent
    money = sum(line.money + charges.labour(terms, line.minutes, terms.hours_factor) for line in quantities.lines)
    minutes = sum(charges.planned_minutes(terms, line.minutes) for line in quantities.lines)
    return money + spent.total, minutes + spent.minutes


def offered(part: PartOptions) -> tuple[Course, ...]:
    """The courses the solver may choose from: the held ones where there are any."""
    held = tuple(course for course in part.courses if course.held)
    return held or part.courses


def distinct_levels(course: Course) -> list[int]:
    """Of neighbouring support levels with the same outcome only the weakest need is kept.

    >>> from types import SimpleNamespace as Any
    >>> distinct_levels(Any(finish_at=(8, 8, 4), points_at=(50, 50, 20), redo_at=(0.1, 0.1, 0.2)))
    [1, 2]
    """
    outcomes = list(zip(course.finish_at, course.points_at, course.redo_at, strict=True))
    return [
        level for level, outcome in enumerate(outcomes) if level == len(outcomes) - 1 or outcomes[level + 1] != outcome
    ]

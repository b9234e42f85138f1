"""What the workbench knows: solvents and their limits, what is in a tin, places and their air, grits, threads.

Figures of solvents are for 20 °C; limits are those of the year they were read in. What is in a tin is from memory:
the label and the data sheet go before it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal, get_args

from trimwright.facts.rows import Row, by_id, grouped, rows_of
from trimwright.facts.trade import Evidence, Spread3

LimitKind = Literal["8 h mean", "15 min mean", "ceiling", "at once dangerous"]
LIMIT_KINDS: tuple[LimitKind, ...] = get_args(LimitKind)
Figure = Literal["molar mass", "density", "vapour pressure", "LEL"]
FIGURES: tuple[Figure, ...] = get_args(Figure)


@dataclass(frozen=True, slots=True)
class Limit:
    """How much of a vapour may be in the air [ppm] by one body, in the year it was read."""

    body: str
    kind: LimitKind
    ppm: float
    year: int
    evidence: Evidence

    @property
    def told(self) -> str:
        """The limit in a line."""
        return f"{self.kind} {self.body} {self.year}"


@dataclass(frozen=True, slots=True)
class Solvent:
    """What evaporates: molar mass [g/mol], density [kg/L], vapour pressure [kPa], lower explosive limit [% vol]."""

    id: str
    name: str
    cas: str
    molar_mass: float
    density: float
    vapour_pressure: float
    lel: float
    limits: tuple[Limit, ...]
    evidence: MappingProxyType[Figure, Evidence]

    @property
    def saturated_ppm(self) -> float:
        """What still air over the liquid holds at most [ppm]."""
        return 1e6 * self.vapour_pressure / 101.325

    def strictest(self, kind: LimitKind) -> Limit | None:
        """The lowest limit of a kind; None where no body has one."""
        return min((each for each in self.limits if each.kind == kind), key=lambda each: each.ppm, default=None)


@dataclass(frozen=True, slots=True)
class Coat:
    """A coating or glue: how it is sold, sprayed and dries; None where it leaves no film that is reckoned with."""

    id: str
    name: str
    litres_a_unit: float
    solids: float | None
    film_um: float | None
    transfer: float | None
    ratio: str
    densities: str
    pot_life_min: int | None
    dries_min: int
    isocyanate: bool
    solvents: tuple[tuple[str, float], ...]
    """(solvent id, share of the volume in the tin)."""
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Place:
    """Where one sprays: volume [m³], air changes an hour, how far from well mixed the air is (1 = well, 10 = badly)."""

    id: str
    name: str
    volume_m3: float
    changes_per_h: float
    mixing: float
    extracted: bool
    """A booth, or a room built for spraying."""
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Grit:
    """A FEPA P grade, which is its id, and the size of its grain [µm]."""

    id: str
    um: float
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class ThreadState:
    """How a thread is when it is tightened, and its torque coefficient K: lowest, typical, highest."""

    id: str
    name: str
    k: Spread3
    evidence: Evidence


@dataclass(frozen=True)
class Workbench:
    """All of it, by id."""

    solvents: MappingProxyType[str, Solvent]
    coats: MappingProxyType[str, Coat]
    places: MappingProxyType[str, Place]
    grits: MappingProxyType[str, Grit]
    """From coarse to fine."""
    bolt_threads: MappingProxyType[str, ThreadState]


@cache
def load_workbench() -> Workbench:
    """Every table of the workbench, read once."""
    limits = grouped("solvent_limits", "solvent", _limit)
    figures = grouped("solvent_figures", "solvent", _figure)
    shares = grouped("coat_solvents", "material", lambda row: (row.text("solvent"), row.number("share")))
    return Workbench(
        solvents=by_id(
            _solvent(row, dict(figures[row.text("id")]), limits.get(row.text("id"), ())) for row in rows_of("solvents")
        ),
        coats=by_id(_coat(row, shares.get(row.text("material"), ())) for row in rows_of("coats")),
        places=by_id(map(_place, rows_of("places"))),
        grits=by_id(Grit(row.text("id"), row.number("um"), row.evidence()) for row in rows_of("grits")),
        bolt_threads=by_id(map(_thread_state, rows_of("thread_states"))),
    )


def _limit(row: Row) -> Limit:
    return Limit(
        row.text("body"), row.one_of("kind", LIMIT_KINDS), row.number("ppm"), row.whole("year"), row.evidence()
    )


def _figure(row: Row) -> tuple[Figure, tuple[float, Evidence]]:
    return row.one_of("figure", FIGURES), (row.number("value"), row.evidence())


def _solvent(row: Row, figures: Mapping[Figure, tuple[float, Evidence]], limits: Iterable[Limit]) -> Solvent:
    return Solvent(
        id=row.text("id"),
        name=row.text("name"),
        cas=row.text("cas"),
        molar_mass=figures["molar mass"][0],
        density=figures["density"][0],
        vapour_pressure=figures["vapour pressure"][0],
        lel=figures["LEL"][0],
        limits=tuple(limits),
        evidence=MappingProxyType({figure: evidence for figure, (_, evidence) in figures.items()}),
    )


def _coat(row: Row, solvents: Iterable[tuple[str, float]]) -> Coat:
    return Coat(
        id=row.text("material"),
        name=row.text("name"),
        litres_a_unit=row.number("litres_a_unit"),
        solids=row.number_or_none("solids"),
        film_um=row.number_or_none("film_um"),
        transfer=row.number_or_none("transfer"),
        ratio=row.text("ratio"),
        densities=row.text("densities"),
        pot_life_min=row.whole("pot_life_min") if row.text("pot_life_min") else None,
        dries_min=row.whole("dries_min"),
        isocyanate=row.yes("isocyanate"),
        solvents=tuple(solvents),
        evidence=row.evidence(),
    )


def _place(row: Row) -> Place:
    return Place(
        id=row.text("id"),
        name=row.text("name"),
        volume_m3=row.number("volume_m3"),
        changes_per_h=row.number("changes_per_h"),
        mixing=row.number("mixing"),
        extracted=row.yes("extracted"),
        evidence=row.evidence(),
    )


def _thread_state(row: Row) -> ThreadState:
    return ThreadState(row.text("id"), row.text("name"), row.spread("k_low", "k", "k_high"), row.evidence())

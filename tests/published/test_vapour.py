"""Vapour against worked examples and the limits that NIOSH and OSHA print. Sources stand in the CSVs."""

from __future__ import annotations

from math import exp

import pytest

from tests.published.rows import rows
from trimwright.craft.vapour import MOST_LEL, Poured, Room, fumes, molar_volume_l, vapour_l
from trimwright.facts.trade import Evidence
from trimwright.facts.workbench import FIGURES, Limit, LimitKind, Solvent, load_workbench

PUBLISHED = {row["item"]: float(row["value"]) for row in rows("ventilation")}
SOLVENTS = load_workbench().solvents
GUESS = Evidence("guess", "memory")


def made_up(name: str, limit: float = 100.0, lel: float = 1.0) -> Solvent:
    """A solvent of which a litre makes a cubic metre of vapour at 20 °C."""
    limits = (Limit("test", "8 h mean", limit, 2000, GUESS),)
    return Solvent(name, name, "", 24.055, 1.0, 100.0, lel, limits, dict.fromkeys(FIGURES, GUESS))  # type: ignore[arg-type]


def test_a_room_fills_as_published() -> None:
    """rEHS: 1.4 cubic feet a minute into 75,000 with 2,500 a minute through it; any one unit of volume will do."""
    (one,) = fumes([Poured(made_up("a"), 1.4 * 11)], Room(75_000, 2500 * 60), 11 / 60).vapours
    assert one.peak.value == pytest.approx(PUBLISHED["build-up after 11 min"], abs=0.05)


def test_a_room_clears_by_e_with_every_change_of_air() -> None:
    """C = C0 · exp(−Q·t ÷ V), the balance of a mixed room."""
    found = fumes([Poured(made_up("a"), 0.01)], Room(50, 100), 0.5)
    assert found.ppm_at(1.0) == pytest.approx(found.ppm_at(0.5) * exp(-1.0))


def test_the_time_to_fall_below_a_limit_is_the_inverse() -> None:
    found = fumes([Poured(made_up("a"), 0.1)], Room(50, 100, mixing=2), 0.5)
    assert found.wait is not None
    assert found.ppm_at(0.5 + found.wait.value / 60) == pytest.approx(100, rel=1e-6)


def test_air_flow_for_a_limit_keeps_it() -> None:
    """ACGIH dilution for health: at that flow the level settles at the limit, and is never above it."""
    solvent = made_up("a", lel=15.0)
    need = fumes([Poured(solvent, 0.1)], Room(50, 0), 0.5).health_flow
    assert need is not None
    for hours in (0.5, 5.0, 50.0):
        poured = Poured(solvent, 0.1 * hours / 0.5)
        kept = fumes([poured], Room(50, need.value), hours).vapours[0].peak.value
        assert kept <= 100 * (1 + 1e-9)
    assert kept == pytest.approx(100, rel=0.02)


def test_the_acgih_formula_in_pints_and_cubic_feet() -> None:
    """Q = 403 · 10⁶ · SG · ER · K ÷ (MW · C), read on a university's course page: within 1 % of ours at 70 °F."""
    toluene, pints = SOLVENTS["toluene"], 2.0
    limit = toluene.strictest("8 h mean")
    assert limit is not None
    cfm = 403e6 * toluene.density * (pints / 60) * 4 / (toluene.molar_mass * limit.ppm)
    ours = fumes([Poured(toluene, pints * 0.473176473)], Room(50, 0, mixing=4), 1.0, at_c=(70 - 32) / 1.8).health_flow
    assert ours is not None
    assert ours.value == pytest.approx(cfm * 1.69901079552, rel=0.01)


def test_a_litre_makes_so_much_vapour() -> None:
    """24.055 L/mol at 20 °C, recomputed; toluene and acetone as the vapour sheet has them."""
    assert molar_volume_l(20) == pytest.approx(24.055, abs=5e-4)
    for name, litres in (("toluene", 227.2), ("acetone", 327.1), ("dichloromethane", 376.8), ("hexane", 184.2)):
        assert vapour_l(Poured(SOLVENTS[name], 1.0)).value == pytest.approx(litres, rel=0.005), name


def test_saturated_air_holds_what_is_published() -> None:
    """10⁶ · P ÷ 760 mmHg: 29,000 ppm of toluene, about 1,000 of 2-butoxyethanol."""
    toluene, butoxyethanol = SOLVENTS["toluene"], SOLVENTS["butoxyethanol"]
    assert toluene.saturated_ppm == pytest.approx(PUBLISHED["saturated concentration, toluene"], rel=0.01)
    assert butoxyethanol.saturated_ppm == pytest.approx(PUBLISHED["saturated concentration, 2-butoxyethanol"], rel=0.06)


@pytest.mark.parametrize(
    "row", [row for row in rows("ventilation") if "10 %" in row["item"]], ids=lambda row: row["item"]
)
def test_a_tenth_of_the_lel_is_what_niosh_prints(row: dict[str, str]) -> None:
    """At that much, the answer stands at its limit of 10 %."""
    lel = float(row["inputs"].removeprefix("LEL ").removesuffix(" %"))
    litres = float(row["value"]) / 1e6 * 50  # vapour m³ in a closed room of 50 m³
    found = fumes([Poured(made_up("a", lel=lel), litres)], Room(50, 0), 1.0)
    assert found.explosive.value == pytest.approx(MOST_LEL)


def test_limits_of_a_mixture_add_up() -> None:
    """29 CFR 1910.1000(d)(2)(i) by a course's example 3-2: 5 of 10, 20 of 50, 10 of 20 ppm come to 1.4 times."""
    parts = [(5, 10), (20, 50), (10, 20)]
    poured = [Poured(made_up(f"{limit}", limit), ppm / 1e6 * 50) for ppm, limit in parts]
    found = fumes(poured, Room(50, 0), 1e-9)
    (shift,) = (each for each in found.limits if each.name == "of the 8 h limits")
    assert shift.found.value / 100 == pytest.approx(PUBLISHED["mixture rule"], rel=1e-4)
    assert not shift.holds
    equivalent = found.as_total(lambda solvent: float(solvent.name))
    assert equivalent == pytest.approx(PUBLISHED["mixture rule, equivalent limit"])


# ---- limits in the facts ---------------------------------------------------------------------------------------------

NAMES = {
    "2-butanone (MEK)": "mek", "m-xylene": "xylene", "ethyl acetate": "ethyl_acetate",
    "n-butyl acetate": "butyl_acetate", "isopropyl alcohol": "isopropanol", "n-hexane": "hexane",
    "n-heptane": "heptane", "methylene chloride": "dichloromethane", "2-butoxyethanol": "butoxyethanol",
}  # fmt: skip


def kind_of(row: dict[str, str]) -> LimitKind:
    if row["property"] == "IDLH":
        return "at once dangerous"
    condition = row["condition"]
    return "ceiling" if " C" in condition else "15 min mean" if " ST" in condition else "8 h mean"


@pytest.mark.parametrize(
    "row", rows("limits"), ids=lambda row: f"{row['substance']} {row['property']} {row['condition']}"
)
def test_limits_are_those_of_niosh_and_osha(row: dict[str, str]) -> None:
    solvent = SOLVENTS[NAMES.get(row["substance"], row["substance"])]
    body = "OSHA" if "OSHA" in row["property"] else "NIOSH"
    found = [each.ppm for each in solvent.limits if (each.body, each.kind) == (body, kind_of(row))]
    assert found == [float(row["value"])]

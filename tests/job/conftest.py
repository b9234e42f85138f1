"""A small trade of our own and a job that uses nearly every field of the document."""

from __future__ import annotations

from types import MappingProxyType
from typing import Any, TypeVar

import pytest

from trimwright.facts.trade import (
    Evidence,
    Family,
    Fault,
    Material,
    PartKind,
    Price,
    Rate,
    Suits,
    Tool,
    Trade,
    Treatment,
)
from trimwright.job.document import Job

_SAID = Evidence("guess", "made up for the tests")
_PRICE = Price((1000, 2000), (1000, 2000))


def kind(kind_id: str, name: str, zone: str, materials: tuple[str, ...], **said: Any) -> PartKind:
    plain: dict[str, Any] = {
        "bodies": frozenset({"two-door", "four-door", "open", "estate", "van", "pickup"}),
        "places": (), "usual": True, "years": (1900, 2100), "needs_equipment": None, "without_equipment": None,
        "count": 1, "area_mm2": (400_000, 600_000, 800_000), "length_mm": 2000, "sight": 3, "touch": 2, "wear": 1.0,
        "is_restraint": False, "airbag_behind": (), "head_impact": False, "needs_hold": False, "burn_rate": True,
        "part_of": None, "rests_on": (), "touches": (), "matching_set": None, "comes_off_after": (), "is_step": False,
        "fixings": (), "clips": 8, "clip_loss": 0.2, "off_min": (10, 20), "back_min": (10, 20),
        "guessed_prices_usd": MappingProxyType({}), "note": "", "evidence": _SAID,
    }  # fmt: skip
    return PartKind(id=kind_id, name=name, zone=zone, materials=materials, **plain | said)


def fault(fault_id: str, name: str, *materials: str) -> Fault:
    return Fault(
        fault_id, name, materials, "", "", ("", "", ""), "", "", (7, 5, 3), 0.2, 3.0, None, False, False, (), _SAID
    )


def treatment(
    treatment_id: str, *materials: str, suits: tuple[Suits, ...] = (), hours: tuple[Rate, ...] = ()
) -> Treatment:
    return Treatment(
        id=treatment_id, name=treatment_id, kind="refinish", materials=materials, suits=suits, suits_any=False,
        only_parts=(), first=(), reach="in place", steps=(), uses=(), hours=hours, hours_spread=(1.0, 1.0), coats=0,
        temp_min_c=None, temp_best_c=None, rh_max_pct=None, abrasives="", finish=(4, 6, 8),
        life_years=(1.0, 2.0, 3.0), redo=(0.0, 0.1), skill=1, tools=(), batch=None, batch_minutes=0, visit=None,
        buys=None, on_restraint=False, over_airbag=True, on_sensor_seat=True, on_head_impact=True,
        needs_capability=(), kept=1.0, look="original", lasts=True, cautions=(), not_for="", evidence=_SAID,
    )  # fmt: skip


Row = TypeVar("Row", PartKind, Fault, Treatment, Material, Tool)


def _by_id(*rows: Row) -> MappingProxyType[str, Row]:
    return MappingProxyType({row.id: row for row in rows})


@pytest.fixture(scope="session")
def trade() -> Trade:
    doors = frozenset({"four-door", "estate"})
    return Trade(
        parts=_by_id(
            kind("cushion", "front cushion cover", "front seats", ("leather", "cloth"),
                 places=("driver", "passenger")),
            kind("door_card_f", "front door card", "doors", ("vinyl", "cloth"), places=("driver", "passenger")),
            kind("door_card_r", "rear door card", "doors", ("vinyl",), places=("rear_driver",), bodies=doors),
            kind("armrest", "door armrest", "doors", ("vinyl",), places=("driver", "rear_driver"), usual=False,
                 by_door=True),
            kind("belt", "front belt", "belts", ("webbing",), places=("driver",), is_restraint=True),
            kind("bag", "passenger airbag", "dash", ("plastic",), needs_equipment="passenger_airbag"),
            kind("knob", "gear knob", "console", ("wood",), area_mm2=(0, 0, 0), length_mm=0),
            kind("battery_off", "battery off", "make safe", (), is_step=True),
        ),
        faults=_by_id(
            fault("L_dirty", "dirty, shiny with grease", "leather"), fault("L_torn", "torn [seam]", "leather"),
            fault("V_split", "split", "vinyl"), fault("A_loose", "loose", "vinyl", "cloth", "wood"),
        ),
        finds=MappingProxyType({}),
        treatments=_by_id(
            treatment("leave"), treatment("leather_clean", "leather"), treatment("leather_recolour", "leather"),
            treatment("wood_lacquer", "wood", suits=(Suits("A_loose", "heavy"),), hours=(Rate(0.5, "m2"),)),
        ),
        materials=_by_id(
            Material("dye", "leather dye", "L", True, True, 0.05, 24, "", ()),
            Material("hide", "leather hide", "m²", True, True, 0.0, 60, "", ()),
        ),
        tools=_by_id(Tool("gun", "small spray gun", _PRICE, 10, False, _SAID)),
        suppliers=MappingProxyType({}),
        glances=MappingProxyType({}),
        cautions=MappingProxyType({}),
        final_tests=MappingProxyType({}),
        practice=MappingProxyType({}),
        sources=MappingProxyType({}),
        families=MappingProxyType({
            each: Family(each, each, each == "webbing")
            for each in ("leather", "cloth", "vinyl", "webbing", "plastic", "wood")
        }),
        usual_wear=MappingProxyType({}),
    )  # fmt: skip


@pytest.fixture(scope="session")
def raw() -> dict[str, Any]:
    """A job as plain data that uses nearly every field, with texts that a careless sheet would lose."""
    return {
        "format": 2, "id": "by-the-sea", "name": "=Coupé <b>by</b> the sea 🪡 \u202eשלום",
        "car": {"text": "a two-door of 1994", "year": 1994, "body": "two-door",
                "equipment": {"driver_airbag": "yes", "side_airbag": "no"}, "commercial": False},
        "money": {"currency": "KWD", "sum": 240_001, "covers": ["labour", "parts"], "labour_rate": 12_345,
                  "tax_percent": 7.7, "sure": 0.85, "rates": {"EUR": 0.3333333333333333, "USD": 0.31}},
        "time": {"hours": 77.7, "hands": 2, "week": [0, 8, 7.5, 0, 0, 0, 24], "start": "2026-03-01", "wanted_by": None,
                 "opens": "07:30:00", "zone": "Europe/Lisbon", "days_off": ["2026-03-19", "2026-12-24"],
                 "places": {"bench": 2, "spray_spot": 0, "press": 4, "line": 1, "rack_mm2": 2_345_678},
                 "pins": {"off:seat.driver": {"not_before": "2026-03-02T09:00:00Z", "not_after": None},
                          "a/clean_dry/1": {"not_before": None, "not_after": "2026-03-05T17:30:00+01:00"}}},
        "wishes": {"zones": {"doors": 2.5, "[Stock]": 0.1}, "years": 4.5, "originality": 0.25, "floor": 0,
                   "floors": {"knob": 6}, "must_do": ["knob", "cushion.driver"], "leave_alone": ["belt.driver"],
                   "sets": [{"name": "-seats", "parts": ["cushion.driver", "cushion.passenger"], "within": 2}]},
        "causes": {"sun": "seen", "damp": "unknown"},
        "parts": [
            {"id": "cushion.driver", "kind": "cushion", "name": "Front cushion cover, driver's", "place": "driver",
             "count": 1, "material": "leather", "colour": "+red", "area_mm2": 654_321, "length_mm": 1041,
             "finish_now": 0, "missing": 3, "pin": "leather_clean+leather_recolour~dark", "bans": ["leather_clean"],
             "faults": [{"fault": "L_torn", "extent": "heavy", "note": "@bolster"},
                        *({"fault": "L_dirty", "extent": "light", "note": ""} for _ in range(5))],
             "offers": [{"source": "used", "low": 1, "likely": 1_000, "high": 99_999, "delivery": 5, "days": 0,
                         "seller": "'quoted'", "finish": 7},
                        {"source": "new", "low": 5, "likely": 5, "high": 5}],
             "notes": "=1+1\nsecond line\ttabbed _x0041_ and _x005F_", "photos": ["a;b.jpg", "007"]},
            {"id": "cushion.passenger", "kind": "cushion", "name": "007", "place": "passenger", "material": "cloth",
             "area_mm2": 1, "length_mm": 50_000},
            {"id": "belt.driver", "kind": "belt", "name": "Front belt, driver's", "place": "driver",
             "material": "webbing", "count": 500, "area_mm2": 20_000_000},
            {"id": "knob", "kind": "knob", "name": "#REF!", "material": "wood", "finish_now": 10},
            {"id": "shelf", "kind": "own", "name": "'=shelf", "material": "cloth", "area_mm2": 92_903,
             "own": {"zone": "rear", "sight": 3, "touch": 0, "is_restraint": True, "head_impact": True,
                     "airbag_behind": ["side_airbag", "curtain_airbag"], "off_minutes": 5, "back_minutes": 3000}},
        ],
        "stock": [{"material": "dye", "colour": "red", "amount": 0.123456789012345}, {"material": "hide", "amount": 3}],
        "tools": ["gun"],
        "capabilities": ["booth"],
        "events": [
            {"kind": "note", "id": "e1", "at": "2026-03-01T12:30:15.000123Z", "part": "gone.part",
             "note": "-looked\nagain", "by": "A", "photos": ["x.jpg"]},
            {"kind": "note", "id": "e2", "at": "1999-12-31T23:59:59", "note": "100 %"},
            {"kind": "look", "id": "e3", "at": "2026-03-01T13:00:00", "find": "foam_crushed", "part": "cushion.driver",
             "there": False},
            {"kind": "promised", "id": "e4", "at": "2026-03-01T14:00:00", "sum": 240_000,
             "verdicts": {"knob": "wood_lacquer", "cushion.driver": "leather_clean+leather_recolour~2"},
             "yes": {"at": "2026-03-01T13:59:00+01:00", "name": "=Kim", "how": "in person"}},
            {"kind": "opened", "id": "e5", "at": "2026-03-02T09:00:00", "step": "own:shelf", "minutes": 35},
            {"kind": "find", "id": "e6", "at": "2026-03-02T09:30:00", "part": "cushion.driver", "find": "foam_crushed",
             "what": "'foam crushed", "money": {"low": 5_000, "likely": 9_500, "high": 12_345},
             "minutes": {"low": 30, "likely": 45, "high": 90}, "answer": "drop others for it", "drops": ["knob"],
             "yes": {"at": "2026-03-02T10:00:00", "name": "Kim", "how": "call"}, "note": "seen from below"},
            {"kind": "find", "id": "e7", "at": "2026-03-02T09:31:00", "step": "door_card_f.driver", "what": "rust",
             "must": True},
            {"kind": "find", "id": "e8", "at": "2026-03-02T09:32:00", "part": "cushion.passenger", "what": "hole",
             "left_finish": 4, "answer": "leave and record"},
            {"kind": "bought", "id": "e9", "at": "2026-03-03T09:00:00", "thing": "material", "paid": 4_500,
             "material": "dye", "colour": "red", "pack": "dye-1", "count": 2},
            {"kind": "bought", "id": "e10", "at": "2026-03-03T09:01:00", "thing": "part", "paid": 900, "part": "knob",
             "source": "used", "seller": "+yard", "finish": 7, "returned": 400},
            {"kind": "bought", "id": "e11", "at": "2026-03-03T09:02:00", "thing": "tool", "paid": 1, "tool": "gun"},
            {"kind": "done", "id": "e12", "at": "2026-03-04T09:00:00", "part": "knob", "course": "wood_lacquer",
             "minutes": 75, "finish": 9, "redone": 1},
            {"kind": "spent", "id": "e13", "at": "2026-03-04T10:00:00", "what": "rust treated", "money": 700,
             "minutes": 50, "find": "e7"},
            {"kind": "released", "id": "e14", "at": "2026-03-04T11:00:00", "parts": ["knob"]},
        ],
    }  # fmt: skip


@pytest.fixture(scope="session")
def job(raw: dict[str, Any]) -> Job:
    return Job.from_plain(raw)


@pytest.fixture
def bare() -> Job:
    """A job that has nothing but what every job must have, and that other than `job`."""
    return Job.model_validate(
        {
            "id": "other", "name": "Other", "car": {"text": "x", "year": 1950, "body": "van"},
            "money": {"currency": "JPY", "sum": 1},
            "parts": [{"id": "z", "kind": "knob", "name": "Z", "material": "m"}],
        }
    )  # fmt: skip

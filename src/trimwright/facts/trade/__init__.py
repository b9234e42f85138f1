"""What the trade knows, as frozen typed values: the nouns of `facts/*.csv`, before any one job.

Conventions, said once. Money of the facts is in whole hundredths of USD and EUR (`Price`); time is in minutes,
elapsed waits in hours; areas in mm², lengths in mm; amounts of a material in its own unit (L, m², m, pieces).
`chance` is 0–1, `finish` 0 (ruined) … 10 (as new). A three-point figure is (low, likely, high).
Every row carries its `Evidence`; a level of "guess" is said to the user too. Figures of the shop's own book may stand
in place of the tables' (`book/applied.py`); their level is "own book".
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType

from trimwright.facts.trade.evidence import (
    Evidence,
    Level,
    Price,
    Spread3,
)
from trimwright.facts.trade.faults import (
    EXTENTS,
    Cause,
    Extent,
    Fault,
    Find,
    Glance,
    LiesIn,
    PointsAt,
    UsualWear,
)
from trimwright.facts.trade.goods import (
    Material,
    Pack,
    Supplier,
    Tool,
)
from trimwright.facts.trade.parts import (
    EQUIPMENT_NAMES,
    REAR_DOORS,
    REAR_SEATS,
    Body,
    Care,
    Equipment,
    Family,
    PartKind,
    Place,
)
from trimwright.facts.trade.practice import Caution, FinalTest, Practice, Source
from trimwright.facts.trade.treatments import (
    Buys,
    First,
    Look,
    NeedsAir,
    Pause,
    Per,
    Rate,
    Reach,
    RecipeStep,
    Suits,
    Treatment,
    TreatmentKind,
    Wait,
    WorkPlace,
)

__all__ = [
    "EQUIPMENT_NAMES",
    "EXTENTS",
    "REAR_DOORS",
    "REAR_SEATS",
    "Body",
    "Buys",
    "Care",
    "Cause",
    "Caution",
    "Equipment",
    "Evidence",
    "Extent",
    "Family",
    "Fault",
    "FinalTest",
    "Find",
    "First",
    "Glance",
    "Level",
    "LiesIn",
    "Look",
    "Material",
    "NeedsAir",
    "Pack",
    "PartKind",
    "Pause",
    "Per",
    "Place",
    "PointsAt",
    "Practice",
    "Price",
    "Rate",
    "Reach",
    "RecipeStep",
    "Source",
    "Spread3",
    "Suits",
    "Supplier",
    "Tool",
    "Trade",
    "Treatment",
    "TreatmentKind",
    "UsualWear",
    "Wait",
    "WorkPlace",
]


@dataclass(frozen=True)
class Trade:
    """All facts, each table by id, loaded once by `facts.load()`."""

    parts: MappingProxyType[str, PartKind] = field(repr=False)
    faults: MappingProxyType[str, Fault] = field(repr=False)
    finds: MappingProxyType[str, Find] = field(repr=False)
    treatments: MappingProxyType[str, Treatment] = field(repr=False)
    materials: MappingProxyType[str, Material] = field(repr=False)
    tools: MappingProxyType[str, Tool] = field(repr=False)
    suppliers: MappingProxyType[str, Supplier] = field(repr=False)
    glances: MappingProxyType[str, Glance] = field(repr=False)
    cautions: MappingProxyType[str, Caution] = field(repr=False)
    final_tests: MappingProxyType[str, FinalTest] = field(repr=False)
    practice: MappingProxyType[str, Practice] = field(repr=False)
    sources: MappingProxyType[str, Source] = field(repr=False)
    families: MappingProxyType[str, Family] = field(repr=False)
    usual_wear: MappingProxyType[str, UsualWear] = field(repr=False)

    def is_for(self, material: str, materials: tuple[str, ...]) -> bool:
        """Whether a fault or treatment of these materials (any, if it names none) is one of `material`.

        What is of any material is not of those that only restraint parts have.
        """
        family = self.families.get(material)
        return material in materials or (not materials and not (family and family.restraint))

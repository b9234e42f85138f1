"""What stands where in the survey sheet: its tables and their columns.

The first table, Job, has one item a row; every other has one column a field and one entry a row. Row fields are named
as in the document; a part's wishes stand in its own row. Everything of the document has a place here, so nothing is
lost on the way out and back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from trimwright.facts.trade import Body, Cause, Extent, Place
from trimwright.job.document import Capability, CauseSeen, Covered, EquipmentFitted, Fitted, OfferSource
from trimwright.job.events import KINDS
from trimwright.job.survey import cells
from trimwright.job.survey.cells import Kind, Terms, choice
from trimwright.units import System

LEAST_FAULTS = 4
"""Fault columns every sheet has; a part with more faults widens it."""
MOST_FAULTS = 40
SYSTEMS: tuple[System, System] = ("metric", "US customary")
RAW = Kind(lambda value, _terms: value, lambda text, _where, _terms: text)
"""A cell whose kind its row decides."""
DATES = (cells.DATE, cells.MOMENT, cells.DAYS, cells.CLOCK)
"""Kinds that may stand in a cell which the other program made a date."""
WISHES = frozenset({"must_do", "leave_alone", "floor"})
"""Columns of the Parts table that the document keeps among the wishes."""


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the Job table: where it stands in the document, what it is called, what may stand there."""

    path: tuple[str | int, ...]
    name: str
    kind: Kind
    help: str = ""
    member: bool = False
    """`path` ends in a word that is in the document's set, or is not."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: the row field it holds, its header, what may stand in it. A `shown` column is never read."""

    field: str
    header: str
    kind: Kind
    width: int = 12
    help: str = ""
    shown: bool = False

    def headed(self, terms: Terms) -> str:
        """The header with the unit of its figures in brackets."""
        unit = unit_of(self.kind, terms)
        return f"{self.header} [{unit}]" if unit else self.header


def unit_of(kind: Kind, terms: Terms) -> str:
    """The unit a column's bare figures are in; empty where they have none."""
    metric = terms.system == "metric"
    if kind is cells.AREA:
        return "m²" if metric else "sq ft"
    if kind is cells.LENGTH:
        return "m" if metric else "in"
    return terms.currency if kind is cells.MONEY else ""


def items() -> tuple[Item, ...]:
    """The lines of the Job table."""
    return (
        Item(("id",), "Job id", cells.CODE, "small letters, digits, . _ -"),
        Item(("name",), "Job", cells.TEXT),
        Item(("car", "text"), "Car", cells.TEXT, "in plain words"),
        Item(("car", "year"), "Year", cells.WHOLE),
        Item(("car", "body"), "Body", choice(*get_args(Body))),
        *(
            Item(("car", "equipment", item), f"Fitted: {item.replace('_', ' ')}", choice(*get_args(Fitted)),
                 "unknown counts as fitted; never probe or measure a restraint circuit to find out")
            for item in EquipmentFitted.model_fields
        ),
        Item(("car", "commercial"), "Done for money", cells.YES_NO, "cover materials then need a burn-rate statement"),
        Item(("car", "units"), "Units", choice("metric", "US customary"), "for printing; sizes are read in either"),
        Item(("money", "currency"), "Currency", cells.TEXT, "three letters, such as USD"),
        Item(("money", "sum"), "The sum", cells.MONEY, "the fixed money"),
        *(
            Item(("money", "covers", each), f"The sum covers: {each}", cells.YES_NO, member=True)
            for each in get_args(Covered)
        ),
        Item(("money", "labour_rate"), "Labour, one hour", cells.MONEY, "used when the sum covers labour"),
        Item(("money", "tax_percent"), "Tax in per cent", cells.NUMBER, "used when the sum covers tax; 20 for 20 %"),
        Item(("money", "sure"), "How sure", cells.NUMBER, "0.5 to 0.995: how sure the job must end inside the sum"),
        Item(("time", "hours"), "Hours on hand", cells.HOURS, "empty = no limit"),
        Item(("time", "hands"), "Hands", cells.WHOLE),
        *(
            Item(("time", "week", number), f"Hours on {day}", cells.HOURS)
            for number, day in enumerate(("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"))
        ),
        Item(("time", "start"), "Start", cells.DATE, "2026-05-31"),
        Item(("time", "wanted_by"), "Wanted by", cells.DATE, "2026-05-31"),
        Item(("time", "opens"), "Opens at", cells.CLOCK, "on a working day, such as 09:00"),
        Item(("time", "zone"), "Time zone", cells.TEXT, "such as Europe/London; empty = this machine's"),
        Item(("time", "days_off"), "Days off", cells.DAYS, "one a line, such as 2026-12-24"),
        Item(("time", "places", "bench"), "Room: bench", cells.WHOLE, "pieces the benches hold at once"),
        Item(("time", "places", "spray_spot"), "Room: spray spots", cells.WHOLE, "0 = nothing can be sprayed here"),
        Item(("time", "places", "press"), "Room: presses", cells.WHOLE, "pieces under presses, clamps or weights"),
        Item(("time", "places", "line"), "Room: line", cells.WHOLE, "pieces on the line, such as wet carpets"),
        Item(("time", "places", "rack_mm2"), "Room: drying rack", cells.ROOM, "all its shelves together"),
        Item(("wishes", "years"), "Years it should hold", cells.NUMBER),
        Item(("wishes", "originality"), "Originality", cells.NUMBER, "0 to 1: what keeping the original part is worth"),
        Item(("wishes", "floor"), "Floor", cells.FINISH, "no part in plain sight ends below this finish"),
        *(
            Item(("causes", cause), f"Look taken: {cause.replace('_', ' ')}", choice(*get_args(CauseSeen)),
                 "empty = nothing said")
            for cause in get_args(Cause)
        ),
        *(
            Item(("capabilities", each), f"In the shop: {each.replace('_', ' ')}", cells.YES_NO,
                 "what two-pack spraying needs", member=True)
            for each in get_args(Capability)
        ),
    )  # fmt: skip


def parts(faults: int = LEAST_FAULTS) -> tuple[Column, ...]:
    """The columns of the Parts table; `faults` of them in threes: the fault, how bad, where."""
    threes = (
        (
            Column(f"fault {number}", f"Fault {number}", cells.CODE, 26, "choose from the list"),
            Column(f"extent {number}", f"How bad {number}", choice(*get_args(Extent)), 10),
            Column(f"note {number}", f"Where {number}", cells.TEXT, 16),
        )
        for number in range(1, faults + 1)
    )
    return (
        Column("id", "Id", cells.CODE, 24, "leave empty on a new row"),
        Column("zone", "Zone", cells.TEXT, 12, shown=True),
        Column("name", "Part", cells.TEXT, 32),
        Column("kind", "Kind", cells.CODE, 20, "the trade's name for it, or own"),
        Column("place", "Place", choice(*get_args(Place)), 14),
        Column("count", "Count", cells.WHOLE, 7, "like pieces in this row"),
        Column("material", "Material", cells.CODE, 16),
        Column("colour", "Colour", cells.TEXT, 14),
        Column("area_mm2", "Area", cells.AREA, 11, "all pieces together; empty = the trade's figure"),
        Column("length_mm", "Length", cells.LENGTH, 11, "seams and edges; empty = the trade's figure"),
        Column("finish_now", "Finish now", cells.FINISH, 8, "0 ruined … 10 as new; empty = can't be seen yet"),
        *(column for three in threes for column in three),
        Column("missing", "Missing fixings", cells.WHOLE, 9, "clips, screws and lugs missing or broken"),
        Column("must_do", "Must do", cells.YES, 8),
        Column("leave_alone", "Leave alone", cells.YES, 8),
        Column("floor", "Floor", cells.FINISH, 7, "must not end below this finish"),
        Column("pin", "Pinned to", cells.TEXT, 20, "the course or leading treatment it must have"),
        Column("bans", "Must not have", cells.CODES, 20, "treatments, one a line"),
        Column("notes", "Notes", cells.TEXT, 40),
        Column("photos", "Photos", cells.LINES, 20, "one a line"),
        Column("help", "Help", cells.TEXT, 70, shown=True),
    )


JOB = (
    Column("item", "Item", cells.TEXT, 34),
    Column("value", "Value", RAW, 40),
    Column("help", "Help", cells.TEXT, 70, shown=True),
)
OFFERS = (
    Column("part", "Part id", cells.CODE, 26),
    Column("source", "Source", choice(*get_args(OfferSource)), 14),
    Column("low", "Low", cells.MONEY),
    Column("likely", "Likely", cells.MONEY),
    Column("high", "High", cells.MONEY),
    Column("delivery", "Delivery", cells.MONEY),
    Column("days", "Days", cells.WHOLE, 7),
    Column("seller", "Seller", cells.TEXT, 24),
    Column("finish", "Finish", cells.FINISH, 8, "of the offered part, when known"),
)
OWN_PARTS = (
    Column("part", "Part id", cells.CODE, 26),
    Column("zone", "Zone", cells.TEXT, 14),
    Column("sight", "Sight", cells.WHOLE, 8, "0 hidden … 3 in plain sight"),
    Column("touch", "Touch", cells.WHOLE, 8, "0 never … 3 always"),
    Column("is_restraint", "Restraint part", cells.YES, 10),
    Column("airbag_behind", "Airbag behind", cells.CODES, 20, "equipment, one a line"),
    Column("head_impact", "Head impact", cells.YES, 10),
    Column("off_minutes", "Minutes off", cells.WHOLE, 10),
    Column("back_minutes", "Minutes back", cells.WHOLE, 10),
)
ZONES = (Column("zone", "Zone", cells.TEXT, 20), Column("weight", "Weight", cells.NUMBER, 10, "0 to 3; empty = 1"))
SETS = (
    Column("name", "Set", cells.TEXT, 26),
    Column("parts", "Part ids", cells.CODES, 40, "one a line"),
    Column("within", "Within", cells.WHOLE, 8, "finish steps they may differ"),
)
RATES = (
    Column("currency", "Currency", cells.TEXT, 10),
    Column("rate", "Rate", cells.NUMBER, 14, "how much of the job's currency one of it costs"),
)
PINS = (
    Column("task", "Task", cells.TEXT, 40, "as the calendar names it"),
    Column("not_before", "Not before", cells.MOMENT, 26, "2026-05-31T14:30+01:00"),
    Column("not_after", "Not after", cells.MOMENT, 26, "it ends by then"),
)
STOCK = (
    Column("material", "Material", cells.CODE, 26),
    Column("colour", "Colour", cells.TEXT, 16),
    Column("amount", "Amount", cells.NUMBER, 10, "in the unit beside it"),
    Column("unit", "Unit", cells.TEXT, 8, shown=True),
)
TOOLS = (Column("tool", "Tool owned", cells.CODE, 30),)
EVENTS = (
    Column("id", "Id", cells.CODE, 20),
    Column("at", "When", cells.MOMENT, 26, "2026-05-31T14:30"),
    Column("kind", "Kind", choice(*KINDS), 12, "write notes here; the commands write the others"),
    Column("part", "Part id", cells.CODE, 26),
    Column("note", "Note", cells.TEXT, 60),
    Column("by", "By", cells.TEXT, 16),
    Column("photos", "Photos", cells.LINES, 20, "one a line"),
    Column("more", "More", cells.GROUP, 60, "what the commands wrote; leave it as it is"),
)
PROMISES = (
    Column("event", "Event id", cells.CODE, 20),
    Column("part", "Part id", cells.CODE, 26),
    Column("course", "Course", cells.CODE, 40),
)


LISTS: dict[str, tuple[Column, ...]] = {
    "Offers": OFFERS,
    "Own parts": OWN_PARTS,
    "Zones": ZONES,
    "Sets": SETS,
    "Rates": RATES,
    "Pins": PINS,
    "Stock": STOCK,
    "Tools": TOOLS,
    "Events": EVENTS,
    "Promises": PROMISES,
}
"""Every table but Job and Parts, in the order of the sheet."""


def columns(table: str, faults: int = LEAST_FAULTS) -> tuple[Column, ...]:
    """The columns a table may have."""
    if table == "Parts":
        return parts(faults)
    return JOB if table == "Job" else LISTS[table]

"""What happened on a job, as frozen values: intake, looks, finds, what was opened, bagged, tightened, ordered, bought,
done, spent, promised, checked, tested, handed over and looked at again on a visit.

Conventions, said once. Events stand in the order in which they happened: of two promises about a part the later
holds. Money is whole minor units of the job's currency, tax and delivery inside: what it took out of the sum. Minutes
are real ones, by the clock. The part, step or pack an event names may be gone by now: it tells what was. Orders, what
the owner pays and what is kept in the account beside the sum change no plan; single tasks worked on and the shop's
air move dates, never money.
"""

from __future__ import annotations

from typing import Annotated, get_args

from pydantic import Field, TypeAdapter

from trimwright.job.events.ending import (
    Disposed,
    HandedOver,
    OwnersBook,
    Pair,
    Result,
    Snag,
    Tested,
    Visited,
)
from trimwright.job.events.happened import (
    Happened,
    Note,
    Range,
    Yes,
)
from trimwright.job.events.money import (
    Account,
    Bought,
    OfAThing,
    Ordered,
    Payment,
    Promised,
    Released,
    Spent,
    Thing,
)
from trimwright.job.events.on_the_car import (
    Angle,
    Answer,
    Bag,
    BookWait,
    Check,
    Checked,
    Find,
    FixingKnown,
    Intake,
    Look,
    Opened,
    RestraintLamp,
    Tightened,
)
from trimwright.job.events.work import (
    Air,
    Done,
    Worked,
)

__all__ = [
    "EVENT",
    "KINDS",
    "Account",
    "Air",
    "Angle",
    "Answer",
    "Bag",
    "BookWait",
    "Bought",
    "Check",
    "Checked",
    "Disposed",
    "Done",
    "Event",
    "Find",
    "FixingKnown",
    "HandedOver",
    "Happened",
    "Intake",
    "Look",
    "Note",
    "OfAThing",
    "Opened",
    "Ordered",
    "OwnersBook",
    "Pair",
    "Payment",
    "Promised",
    "Range",
    "Released",
    "RestraintLamp",
    "Result",
    "Snag",
    "Spent",
    "Tested",
    "Thing",
    "Tightened",
    "Visited",
    "Worked",
    "Yes",
]

Event = Annotated[
    Note
    | Intake
    | Look
    | Find
    | Opened
    | Ordered
    | Bought
    | Done
    | Spent
    | Promised
    | Released
    | Payment
    | Account
    | Bag
    | FixingKnown
    | Tightened
    | BookWait
    | Check
    | Snag
    | Tested
    | Worked
    | Air
    | HandedOver
    | Pair
    | Disposed
    | OwnersBook
    | Visited,
    Field(discriminator="kind"),
]
EVENT: TypeAdapter[Event] = TypeAdapter(Event)
"""Reads and writes an event as JSON."""
KINDS: tuple[str, ...] = tuple(each.model_fields["kind"].default for each in get_args(get_args(Event)[0]))
"""Every kind of event."""

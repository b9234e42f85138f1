"""What the buying page shows and sends: the plan's list held against what was ordered, bought and sent back.

The list itself is the plan's (`plan.buying`); nothing is added up here that the engine has not added up. An order does
not change the plan, so what is on the way is told beside what the plan asks for, and what it no longer asks for too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any
from uuid import uuid4

from trimwright.book.applied import latest, over_a_year
from trimwright.book.document import Book, OwnPrice
from trimwright.facts.trade import Trade
from trimwright.job.account import at_its_price, waited_for
from trimwright.job.document import Job
from trimwright.job.events import Account, Bought, OfAThing, Ordered

NAMES = ("thing", "material", "colour", "pack", "part", "source", "tool", "seller")
"""The fields of an event that say what was bought; a form carries them as they are."""


def new_id() -> str:
    """An id of its own for a form: the same form sent twice stores once."""
    return uuid4().hex


@dataclass(frozen=True, slots=True)
class Row:
    """One thing on the list that is not here yet."""

    id: str
    """Tells the row's controls from those of others on the page."""
    names: Mapping[str, str]
    count: int
    what: str
    told: str
    known: str
    money: int
    on_the_way: int = 0
    key: str = ""
    """What its survival is told under: the part, or material and pack."""
    low: int = 0
    high: int = 0
    own: OwnPrice | None = None
    """The shop book's own price of this pack at this seller."""
    own_is_old: bool = False
    survives: float | None = None
    edit_id: str = field(default_factory=new_id)

    @property
    def price_id(self) -> str:
        """Tells its price form from its other form."""
        return f"price-{self.id}"

    @property
    def to_order(self) -> int:
        """How many are neither here nor on the way."""
        return max(0, self.count - self.on_the_way)

    @property
    def is_pack(self) -> bool:
        """Whether it is a pack, whose price the shop book holds; else an offer of the job has it."""
        return self.names["thing"] == "material"

    @property
    def can_be_priced(self) -> bool:
        """Whether somebody may say what it costs before it is bought."""
        return self.is_pack or self.names.get("source") in ("new", "used", "reproduction")


@dataclass(frozen=True, slots=True)
class Seller:
    """Everything the plan buys at one seller."""

    name: str
    days: tuple[int, int, int]
    order_by: date | None
    carriage: int
    free_over: int
    to_free: int
    total: int
    rows: tuple[Row, ...]
    carriage_row: Row | None

    @property
    def orderable(self) -> bool:
        """Whether anything of it is still to be ordered."""
        return any(each.to_order for each in self.rows)


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A material that nothing still to be done asks for, and how much of it is there."""

    material: str
    colour: str
    name: str
    unit: str
    milli: int
    """Nothing where it is used up, and the shelf does not say so yet."""
    on_the_shelf: int
    """What the shop book says lies on its shelf now [thousandths]."""
    edit_id: str = field(default_factory=new_id)


@dataclass(frozen=True, slots=True)
class OnTheWay:
    """An order that has not all come."""

    event: Ordered
    what: str
    waiting: int
    expected: int
    """For what is still to come [minor]."""
    wanted: bool
    """Whether the plan still asks for it."""
    edit_id: str = field(default_factory=new_id)


@dataclass(frozen=True, slots=True)
class Delivery:
    """What is on the way from one seller, to be ticked as it arrives."""

    seller: str
    lines: tuple[OnTheWay, ...]
    edit_id: str = field(default_factory=new_id)


@dataclass(frozen=True, slots=True)
class Here:
    """Something bought and paid."""

    event: Bought
    what: str
    dearer: int = 0
    """How much more was paid than the order said it would cost [minor]; less than nothing where it was cheaper."""
    edit_id: str = field(default_factory=new_id)

    @property
    def cheaper(self) -> int:
        """How much less was paid than the order said [minor]."""
        return -self.dearer

    @property
    def back_id(self) -> str:
        """Tells its form from others on the page."""
        return f"back-{self.event.id}"


def sellers(plan: Mapping[str, Any], job: Job, book: Book, today: date, survival: Mapping[str, float]) -> list[Seller]:
    """The plan's orders, seller by seller."""
    own = {(each.pack, each.supplier): each for each in latest(book) if each.currency == job.money.currency}
    waiting: dict[tuple[str | None, ...], int] = {}
    for each in job.events:
        if isinstance(each, Ordered):
            waiting[each.named] = waiting.get(each.named, 0) + waited_for(each, job.events)
    found = []
    for number, order in enumerate(plan["buying"]["orders"]):
        rows = [*_pack_rows(order, own, today, number), *_whole_rows(order, number)]
        name = order["name"]
        seller = name if order["packs"] else order["supplier"]
        rows = [_with(row, waiting, survival) for row in rows]
        carriage = Row(
            id=f"{number}-carriage", names=_names(thing="carriage", seller=seller), count=1, what="", told="",
            known="", money=order["carriage"],
        )  # fmt: skip
        found.append(
            Seller(
                name=name,
                days=tuple(order["days"]),
                order_by=date.fromisoformat(order["order_by"]) if order["order_by"] else None,
                carriage=order["carriage"],
                free_over=order["free_over"],
                to_free=order["to_free"],
                total=order["total"],
                rows=tuple(rows),
                carriage_row=carriage if order["carriage"] else None,
            )
        )
    return found


def once(plan: Mapping[str, Any]) -> list[Row]:
    """Tools and visits, and the small things beside the packs: paid once."""
    buying = plan["buying"]
    rows = [
        Row(
            id=f"once-{number}", names=_names(thing=each["what"], tool=each["id"].partition(":")[2]), count=1,
            what=each["name"], told="", known="", money=each["money"],
        )
        for number, each in enumerate(buying["once"])
    ]  # fmt: skip
    if buying["sundries"]:
        rows.append(
            Row(id="sundries", names=_names(thing="sundries"), count=1, what="", told="", known="",
                money=buying["sundries"])
        )  # fmt: skip
    return rows


def on_the_way(job: Job, trade: Trade, book: Book, asked: Iterable[Seller]) -> list[OnTheWay]:
    """Orders still waited for, oldest first."""
    wanted = {_named(row.names) for seller in asked for row in seller.rows}
    found = []
    for each in job.events:
        if isinstance(each, Ordered) and (waiting := waited_for(each, job.events)):
            expected = at_its_price(each, waiting)
            found.append(OnTheWay(each, thing_told(each, job, trade, book), waiting, expected, each.named in wanted))
    return found


def deliveries(lines: Iterable[OnTheWay]) -> list[Delivery]:
    """What is on the way, seller by seller, the oldest order first."""
    found: dict[str, list[OnTheWay]] = {}
    for each in lines:
        found.setdefault(each.event.seller, []).append(each)
    return [Delivery(seller, tuple(orders)) for seller, orders in found.items()]


def here(job: Job, trade: Trade, book: Book) -> list[Here]:
    """What was bought, the last first."""
    bought = [each for each in job.events if isinstance(each, Bought)]
    orders = {each.id: each for each in job.events if isinstance(each, Ordered)}
    return [
        Here(each, thing_told(each, job, trade, book), _dearer(each, orders.get(each.order or "")))
        for each in reversed(bought)
    ]


def _dearer(bought: Bought, order: Ordered | None) -> int:
    """What was paid beyond what the order said; nothing where it said nothing."""
    return bought.paid - at_its_price(order, bought.count) if order and order.expected else 0


def left_over(plan: Mapping[str, Any], job: Job, trade: Trade, book: Book) -> list[LeftOver]:
    """What may go on the shop's shelf, and has not yet."""
    shelf = {(each.material, each.colour.casefold()): each.amount for each in book.stock}
    shelved: set[tuple[str, str]] = set()
    for event in job.events:
        if isinstance(event, Bought) and event.material:
            shelved.discard((event.material, event.colour.casefold()))
        if isinstance(event, Account) and event.what == "left-over" and event.material:
            shelved.add((event.material, event.colour.casefold()))
    found = []
    for each in plan["buying"]["left_over"]:
        key = (each["material"], each["colour"].casefold())
        material = trade.materials.get(each["material"])
        on_the_shelf = round(shelf.get(key, 0) * 1000)
        if material and key not in shelved and (each["milli"] or on_the_shelf):
            name = ", ".join(filter(None, (material.name, each["colour"])))
            found.append(LeftOver(material.id, each["colour"], name, material.unit, each["milli"], on_the_shelf))
    return found


def from_the_shelf(plan: Mapping[str, Any], job: Job, book: Book) -> dict[str, tuple[str, str]]:
    """Material and colour of what the plan takes from a shelf that the job or the shop names, by the plan's key."""
    there = {(each.material, each.colour.casefold()) for each in (*job.stock, *book.stock)}
    found = {}
    for use in plan["buying"]["materials"]:
        material, _, colour = use["key"].partition(":")
        if use["from_stock_milli"] and (material, colour.casefold()) in there:
            found[use["key"]] = material, colour
    return found


def thing_told(event: OfAThing, job: Job, trade: Trade, book: Book) -> str:
    """What an event is of, as people call it."""
    if event.material is not None:
        material = trade.materials.get(event.material)
        name = ", ".join(each for each in (material.name if material else event.material, event.colour) if each)
        packs = {each.id: each.sold_as for each in book.packs}
        packs |= {each.id: each.sold_as for each in (material.packs if material else ())}
        return f"{name}: {packs.get(event.pack, event.pack)}" if event.pack else name
    if event.part is not None:
        return next((each.name for each in job.parts if each.id == event.part), event.part)
    tool = trade.tools.get(event.tool or "")
    return tool.name if tool else (event.tool or "").replace("_", " ")


def names_sent(sent: Mapping[str, str], prefix: str = "") -> dict[str, str]:
    """What a form says was bought, without what it leaves empty."""
    return {name: sent[prefix + name] for name in NAMES if sent.get(prefix + name)}


def _pack_rows(
    order: Mapping[str, Any], own: Mapping[tuple[str, str], OwnPrice], today: date, number: int
) -> Iterator[Row]:
    for at, each in enumerate(order["packs"]):
        material, _, colour = each["material"].partition(":")
        price = own.get((_listed(each["pack_id"], each["supplier"]), each["supplier"]))
        yield Row(
            id=f"{number}-{at}",
            names=_names(
                thing="material", material=material, colour=each["colour"] or colour, pack=each["pack_id"],
                seller=order["name"],
            ),
            count=each["count"],
            what=each["name"],
            told=each["pack"],
            known=each["known"],
            money=each["money"],
            key=f"{each['material']} {each['pack_id']}",
            own=price,
            own_is_old=bool(price and over_a_year(price.on, today)),
        )  # fmt: skip


def _whole_rows(order: Mapping[str, Any], number: int) -> Iterator[Row]:
    for at, each in enumerate(order["wholes"]):
        by_offer = each["evidence"] == "offer"
        yield Row(
            id=f"{number}-w{at}",
            names=_names(
                thing="part", part=each["part"], source=each["source"],
                seller=order["supplier"] if by_offer else "" if each["source"] != "service" else order["name"],
            ),
            count=1,
            what=each["what"] if each["source"] != "service" else f"{each['what']}: {each['name']}",
            told=each["source"],
            known=each["known"],
            money=each["money"],
            key=each["part"],
            low=each["low"],
            high=each["high"],
        )  # fmt: skip


def _with(row: Row, waiting: Mapping[tuple[str | None, ...], int], survival: Mapping[str, float]) -> Row:
    """The row with what is on the way, and how often it is still wanted after strip-down where that was asked."""
    return replace(row, on_the_way=waiting.get(_named(row.names), 0), survives=survival.get(row.key))


def _names(**told: str) -> dict[str, str]:
    return {name: told.get(name, "") for name in NAMES}


def _named(names: Mapping[str, str]) -> tuple[str | None, ...]:
    """As an event's `named`."""
    held: dict[str, str | None] = {name: value or None for name, value in names.items()}
    return (
        held["thing"], held["material"], names["colour"].casefold(), held["pack"], held["part"], held["source"],
        held["tool"],
    )  # fmt: skip


def _listed(pack: str, supplier: str) -> str:
    """The trade's id of a pack that is sold at another seller than its usual one."""
    return pack.removesuffix(f".{supplier}")

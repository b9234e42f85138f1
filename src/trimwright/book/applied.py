"""The book's figures in place of the table's, for one job.

The trade stays what it was: a changed row is a new one whose evidence is "own book". A price counts for jobs in its own
currency alone; nothing is converted. Of a pack at one seller the latest price counts, of two on a day the dearer.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from types import MappingProxyType

from trimwright.book.check import checked
from trimwright.book.document import Book, OwnPrice, OwnSupplier
from trimwright.book.learning import Lessons, lessons
from trimwright.book.treatments import as_treatment
from trimwright.errors import BadInput
from trimwright.facts.trade import Evidence, Find, Material, Pack, Price, Source, Supplier, Trade, Treatment
from trimwright.job.document import Job

OWN_BOOK = Source("own-book", "The shop's own book", "Prices asked or paid, and what its own jobs have shown.")
NOTHING = (0, 0)
"""Where the trade has no price."""


def apply_book(trade: Trade, book: Book, currency: str, today: date) -> Trade:
    """The trade as this shop knows it, for a job in `currency`; BadInput when the book names what is not known."""
    if problems := checked(book, trade):
        raise BadInput(problems)
    suppliers = {
        **trade.suppliers,
        **{each.id: _supplier(each) for each in book.suppliers if each.currency == currency},
    }
    prices: dict[str, list[OwnPrice]] = defaultdict(list)
    for each in latest(book):
        if each.currency == currency and each.supplier in suppliers:
            prices[each.pack].append(each)
    materials = {
        material_id: replace(material, packs=tuple(_packs(material, book, prices, today)))
        for material_id, material in trade.materials.items()
    }
    trade = with_own_treatments(trade, book)
    taught = lessons(book, trade)
    return replace(
        trade,
        suppliers=MappingProxyType(suppliers),
        materials=MappingProxyType(materials),
        treatments=MappingProxyType(_taught_treatments(trade, taught)),
        finds=MappingProxyType(_taught_finds(trade, taught)),
        sources=MappingProxyType({**trade.sources, OWN_BOOK.id: OWN_BOOK}),
    )


def with_own_treatments(trade: Trade, book: Book) -> Trade:
    """The trade with what the shop can do beside its list."""
    own = {each.id: as_treatment(each, OWN_BOOK.id) for each in book.treatments}
    return replace(trade, treatments=MappingProxyType({**trade.treatments, **own})) if own else trade


def equipped(job: Job, book: Book) -> Job:
    """The job in this shop: its tools, what lies on its shelf, its labour rate.

    Where the job itself says how much there is of a material, or what an hour costs, that stands.
    """
    said = {(each.material, each.colour.lower()) for each in job.stock}
    shelf = [each for each in book.stock if (each.material, each.colour.lower()) not in said]
    rates = [each for each in book.rates if each.currency == job.money.currency]
    rate = job.money.labour_rate or (max(rates, key=lambda each: each.on).hour if rates else 0)
    return job.model_copy(
        update={
            "stock": (*job.stock, *shelf),
            "tools": tuple(sorted({*job.tools, *book.tools})),
            "money": job.money.model_copy(update={"labour_rate": rate}),
        }
    )


# ---- prices ----------------------------------------------------------------------------------------------------------


def latest(book: Book) -> list[OwnPrice]:
    """Of each pack at each seller the price that counts, a currency apart."""
    found: dict[tuple[str, str, str], OwnPrice] = {}
    for each in sorted(book.prices, key=lambda each: (each.on, each.price)):
        found[each.pack, each.supplier, each.currency] = each
    return [found[key] for key in sorted(found)]


def over_a_year(on: date, today: date) -> bool:
    """Whether a price of that day is more than a year old.

    >>> over_a_year(date(2025, 5, 31), date(2026, 5, 31)), over_a_year(date(2025, 5, 31), date(2026, 6, 1))
    (False, True)
    """
    return (on.year + 1, on.month, on.day) < (today.year, today.month, today.day)


def told(price: OwnPrice, today: date) -> str:
    """What is said wherever the price is used."""
    return f"price of {price.on}, over a year old" if over_a_year(price.on, today) else f"own price of {price.on}"


def _packs(material: Material, book: Book, prices: Mapping[str, list[OwnPrice]], today: date) -> Iterator[Pack]:
    """The packs of a material: where the shop knows a price, it goes before the table's guess."""
    for pack in material.packs:
        own = prices.get(pack.id, ())
        yield from (_priced(pack, each, today) for each in own)
        if not own:
            yield pack
    for each in book.packs:
        if each.material == material.id:
            for price in prices.get(each.id, ()):
                evidence = Evidence("own book", OWN_BOOK.id)
                pack = Pack(each.id, each.sold_as, each.size, Price(NOTHING, NOTHING), "", evidence)
                yield _priced(pack, price, today)


def _priced(pack: Pack, price: OwnPrice, today: date) -> Pack:
    """The pack at its own price; at another seller than the pack's usual one it is another pack."""
    return replace(
        pack,
        id=pack.id if price.supplier == pack.supplier else f"{pack.id}.{price.supplier}",
        price=replace(pack.price, own=price.price),
        supplier=price.supplier,
        evidence=Evidence("own book", OWN_BOOK.id, told(price, today)),
    )


def _supplier(own: OwnSupplier) -> Supplier:
    def exact(minor: int | None) -> Price | None:
        return None if minor is None else Price(NOTHING, NOTHING, own=minor)

    return Supplier(
        id=own.id,
        name=own.name,
        carriage=Price(NOTHING, NOTHING, own=own.carriage),
        free_over=exact(own.free_over),
        least_order=exact(own.least_order),
        days=own.days,
        evidence=Evidence("own book", OWN_BOOK.id, "own terms"),
    )


# ---- what own jobs have taught ---------------------------------------------------------------------------------------


def _taught_treatments(trade: Trade, taught: Lessons) -> dict[str, Treatment]:
    found = dict(trade.treatments)
    for treatment_id in {**taught.paces, **taught.redos, **taught.lives}:
        treatment, told = found[treatment_id], []
        if pace := taught.paces.get(treatment_id):
            told.append(f"hours × {pace.times:.2f}, {pace}")
            treatment = replace(treatment, pace=round(pace.times, 6))
        if redo := taught.redos.get(treatment_id):
            told.append(f"done again {redo}")
            treatment = replace(treatment, redo=(redo.chance, redo.chance))
        if life := taught.lives.get(treatment_id):
            told.append(f"holds {life.years:.1f} years, {life}")
            times = life.years / treatment.life_years[1]
            low, likely, high = (round(each * times, 6) for each in treatment.life_years)
            treatment = replace(treatment, life_years=(low, likely, high))
        found[treatment_id] = replace(treatment, evidence=_with_own(treatment.evidence, told))
    return found


def _taught_finds(trade: Trade, taught: Lessons) -> dict[str, Find]:
    found = dict(trade.finds)
    for find_id, seen in taught.finds.items():
        evidence = _with_own(found[find_id].evidence, [f"there {seen}"])
        found[find_id] = replace(found[find_id], chance=(seen.chance,) * 3, evidence=evidence)
    return found


def _with_own(table: Evidence, told: Iterable[str]) -> Evidence:
    """Own figures in a row that is the trade's for the rest, and keeps its source."""
    return Evidence("own book", table.source, f"{'; '.join(told)}; the rest: {table.level}")

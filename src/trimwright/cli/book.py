"""`trimwright book`: the shop's own prices, hours and chances, kept in a file beside the jobs and learned from them."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from trimwright.cli.options import AsJson, Force, JobFile
from trimwright.cli.surroundings import keep, today
from trimwright.cli.terminal import console, print_json

if TYPE_CHECKING:
    from datetime import date

    from trimwright.book.differences import Difference
    from trimwright.book.document import Book

app = typer.Typer(
    help="The shop book: own prices, hours and chances beside the trade's.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

OwnBook = Annotated[Path, typer.Argument(help="The shop book (JSON).", metavar="BOOK", show_default=False)]
Money = Annotated[str, typer.Argument(help="In figures.", metavar="MONEY", show_default=False)]
On = Annotated[str | None, typer.Option("--on", help="The day, such as 2026-05-31; today if not said.", metavar="DATE")]
InCurrency = Annotated[
    str | None, typer.Option("--currency", help="ISO 4217; that of the book's newest figure, else EUR.", metavar="CODE")
]


@app.command()
def new(
    book_file: OwnBook,
    shop: Annotated[str, typer.Option(help="Whose book it is.", metavar="NAME")] = "",
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Start an empty book."""
    from trimwright.book.entries import begun
    from trimwright.book.files import write_book

    keep(book_file, force)
    write_book(begun(shop), book_file)
    _say(book_file, as_json, "begun. Next: trimwright book price", shop=shop)


@app.command()
def price(
    book_file: OwnBook,
    pack: Annotated[
        str, typer.Argument(help="Its id (trimwright facts materials ID).", metavar="PACK", show_default=False)
    ],
    money: Money,
    on: On = None,
    seller: Annotated[
        str | None, typer.Option(help="The seller's id; the usual one if not said.", metavar="ID")
    ] = None,
    currency: InCurrency = None,
    as_json: AsJson = False,
) -> None:
    """Note what a pack costs, before tax, at whom, on which day."""
    from trimwright.book.entries import with_entry
    from trimwright.errors import BadInput, Problem
    from trimwright.facts import load
    from trimwright.units import money as shown
    from trimwright.units import parse_money

    book, code = _read(book_file, currency)
    usual = {each.id: each.supplier for material in load().materials.values() for each in material.packs}
    supplier = seller or usual.get(pack)
    if supplier is None:
        raise BadInput(Problem("PACK", pack, "is sold by nobody the trade knows.", "Say who sells it: --seller ID."))
    paid, day = parse_money(money, code), _day(on)
    noted = {"pack": pack, "supplier": supplier, "currency": code, "price": paid, "on": day}
    _write(with_entry(book, "prices", noted), book_file)
    said = f"{pack} at {supplier}: {shown(paid, code, code=True)}, {day}"
    _say(book_file, as_json, said, **noted | {"on": day.isoformat()})


@app.command()
def pack(
    book_file: OwnBook,
    pack_id: Annotated[str, typer.Argument(help="An id of its own.", metavar="ID", show_default=False)],
    material: Annotated[str, typer.Argument(help="What is in it, by its id.", metavar="MATERIAL", show_default=False)],
    size: Annotated[str, typer.Argument(help="In the material's own unit.", metavar="SIZE", show_default=False)],
    sold_as: Annotated[str, typer.Option(help="The pack in words.", metavar="TEXT")] = "",
    as_json: AsJson = False,
) -> None:
    """Add a pack the trade's list does not have; it is offered once it has a price."""
    from trimwright.book.entries import with_entry
    from trimwright.units import parse_number

    book, _ = _read(book_file)
    held = float(parse_number(size, "SIZE"))
    own = {"id": pack_id, "material": material, "sold_as": sold_as or pack_id, "size": held}
    _write(with_entry(book, "packs", own), book_file)
    said = f"{pack_id}: {held:g} of {material}. Next: trimwright book price {book_file} {pack_id} MONEY --seller ID"
    _say(book_file, as_json, said, **own)


@app.command()
def seller(
    book_file: OwnBook,
    seller_id: Annotated[
        str, typer.Argument(help="An id of its own, or the trade's.", metavar="ID", show_default=False)
    ],
    name: Annotated[str, typer.Argument(help="What people call it.", metavar="NAME", show_default=False)],
    carriage: Annotated[str, typer.Option(help="For one order.", metavar="MONEY")] = "0",
    free_over: Annotated[str | None, typer.Option(help="Orders above this are carried free.", metavar="MONEY")] = None,
    least_order: Annotated[str | None, typer.Option(help="What an order must come to.", metavar="MONEY")] = None,
    days: Annotated[tuple[int, int, int], typer.Option(help="Until it is here: fewest, usual, most.")] = (2, 5, 10),
    currency: InCurrency = None,
    as_json: AsJson = False,
) -> None:
    """Add a seller, or own terms with one of the trade's."""
    from trimwright.book.entries import with_entry
    from trimwright.units import parse_money

    book, code = _read(book_file, currency)
    own = {
        "id": seller_id,
        "name": name,
        "currency": code,
        "carriage": parse_money(carriage, code, "--carriage"),
        "free_over": None if free_over is None else parse_money(free_over, code, "--free-over"),
        "least_order": None if least_order is None else parse_money(least_order, code, "--least-order"),
        "days": days,
    }
    _write(with_entry(book, "suppliers", own), book_file)
    _say(book_file, as_json, f"{seller_id}: {name}", **{each: said for each, said in own.items() if said is not None})


@app.command()
def base(
    book_file: OwnBook,
    base_id: Annotated[str, typer.Argument(help="An id of its own.", metavar="ID", show_default=False)],
    lab: Annotated[
        str | None, typer.Argument(help="The dried coat by itself: L* a* b* in one pair of quotes.", metavar="LAB")
    ] = None,
    name: Annotated[str, typer.Option(help="What the bottle says.", metavar="TEXT")] = "",
    spectrum: Annotated[
        Path | None, typer.Option(help="Its reflectance, a line a wavelength (.csv).", metavar="FILE")
    ] = None,
    drop: Annotated[float, typer.Option(help="One drop from its bottle, in grams.", metavar="GRAMS")] = 0.05,
    tint: Annotated[
        list[str] | None,
        typer.Option(help="A trial: share, other base, L* a* b* or a .csv: 10% white 62 4 9.", metavar="TRIAL"),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Note a base colour to mix from, with trials in white that say how strong it is."""
    from trimwright.book.colours import base_said
    from trimwright.book.entries import with_entry

    book, _ = _read(book_file)
    own = base_said(base_id, lab, name=name, spectrum=spectrum, drop=drop, tints=tint or ())
    _write(with_entry(book, "bases", own), book_file)
    trials = len(own["tints"])
    said = f"{base_id}: L*a*b* {' '.join(f'{each:g}' for each in own['lab'])}, {trials} trials"
    _say(book_file, as_json, said, id=base_id, lab=own["lab"], trials=trials)


@app.command()
def rate(book_file: OwnBook, money: Money, on: On = None, currency: InCurrency = None, as_json: AsJson = False) -> None:
    """Note what an hour is sold for; jobs that say nothing of it take the newest."""
    from trimwright.book.entries import with_entry
    from trimwright.units import money as shown
    from trimwright.units import parse_money

    book, code = _read(book_file, currency)
    hour, day = parse_money(money, code), _day(on)
    _write(with_entry(book, "rates", {"currency": code, "hour": hour, "on": day}), book_file)
    said = f"an hour for {shown(hour, code, code=True)} since {day}"
    _say(book_file, as_json, said, currency=code, hour=hour, on=day.isoformat())


@app.command()
def tool(
    book_file: OwnBook,
    tools: Annotated[list[str], typer.Argument(help="Their ids (trimwright facts tools).", metavar="TOOL...")],
    gone: Annotated[bool, typer.Option("--gone", help="They are no longer there.")] = False,
    as_json: AsJson = False,
) -> None:
    """Note tools that the shop owns: no job has to buy them."""
    book, _ = _read(book_file)
    owned = set(book.tools) - set(tools) if gone else {*book.tools, *tools}
    _write(book.changed(tools=tuple(owned)), book_file)
    _say(book_file, as_json, f"{len(owned)} tools owned", tools=sorted(owned))


@app.command()
def shelf(
    book_file: OwnBook,
    material: Annotated[
        str, typer.Argument(help="Its id (trimwright facts materials).", metavar="MATERIAL", show_default=False)
    ],
    amount: Annotated[
        str, typer.Argument(help="In its own unit; 0 = none left.", metavar="AMOUNT", show_default=False)
    ],
    colour: Annotated[str, typer.Option(help="Of what comes in colours.", metavar="TEXT")] = "",
    as_json: AsJson = False,
) -> None:
    """Note what lies on the shelf: jobs use it before anything is bought."""
    from trimwright.book.entries import with_entry, without_entries
    from trimwright.units import parse_number

    book, _ = _read(book_file)
    left = float(parse_number(amount, "AMOUNT"))
    there = {"material": material, "colour": colour, "amount": left}
    after = (
        with_entry(book, "stock", there)
        if left
        else without_entries(book, "stock", material=material, colour=colour.strip())
    )
    _write(after, book_file)
    said = f"{material}{f', {colour}' if colour else ''}: {left:g} on the shelf"
    _say(book_file, as_json, said, material=material, colour=colour, amount=left)


@app.command()
def learn(book_file: OwnBook, job_file: JobFile, as_json: AsJson = False) -> None:
    """Take in what a job has shown and paid; a second time adds nothing."""
    from trimwright.book.files import read_book
    from trimwright.facts import load
    from trimwright.job.files import read_job
    from trimwright.plan.lessons import learn as learned

    book, job = read_book(book_file), read_job(job_file)
    after = learned(book, job, load(), _day(None))
    _write(after, book_file)
    held = {
        field: sum(each.job == job.id for each in getattr(after, field))
        for field in ("timed", "redone", "found", "held", "prices")
    }
    named = zip(held.values(), ("times", "tries", "finds", "looks", "prices"), strict=True)
    told = ", ".join(f"{count} {what}" for count, what in named)
    _say(book_file, as_json, f"{told} from {job.name}", job=job.id, **held)


@app.command()
def show(book_file: OwnBook, as_json: AsJson = False) -> None:
    """Own figures beside the trade's."""
    from trimwright.book.differences import differences
    from trimwright.book.files import read_book
    from trimwright.cli.tables import plain_table
    from trimwright.facts import load

    book = read_book(book_file)
    rows = differences(load(), book, _day(None))
    if as_json:
        print_json(_as_json(book, rows))
        return
    if rows:
        console().print(plain_table(("What", "Own", "The table", "Known from"), map(_cells, rows), frozenset({1, 2})))
    else:
        print("No figure of the shop's own yet.")
    _print_owned(book)


@app.command()
def schema() -> None:
    """The JSON Schema of a shop book, for other programs."""
    from trimwright.book.document import Book

    print_json(Book.model_json_schema())


# ---- shared by the commands ------------------------------------------------------------------------------------


def _read(book_file: Path, currency: str | None = None) -> tuple[Book, str]:
    """The book, and the currency that is meant: the one said, else that of its newest figure."""
    from trimwright.book.files import read_book

    book = read_book(book_file)
    dated = [*((each.on, each.currency) for each in book.prices), *((each.on, each.currency) for each in book.rates)]
    return book, currency.upper() if currency else max(dated)[1] if dated else "EUR"


def _write(book: Book, book_file: Path) -> None:
    """Keep the book, once everything in it is known."""
    from trimwright.book.entries import sound
    from trimwright.book.files import write_book
    from trimwright.facts import load

    write_book(sound(book, load()), book_file)


def _day(typed: str | None) -> date:
    from datetime import date

    from trimwright.errors import BadInput, Problem

    if typed is None:
        return today().date()
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise BadInput(Problem("--on", typed, "is not a date.", "Write it like 2026-05-31.")) from None


def _say(book_file: Path, as_json: bool, told: str, **said: Any) -> None:
    if as_json:
        print_json({"book": str(book_file), **said})
    else:
        print(f"{book_file}: {told}")


def _cells(row: Difference) -> tuple[str, str, str, str]:
    from trimwright.units import money

    table = ""
    if row.what == "price":
        own = money(int(row.own), row.unit, code=True)
        if row.table is not None:
            low, high = (money(int(each), row.table_unit) for each in row.table)
            table = f"{low} to {high} {row.table_unit}"
        return row.name, own, table, row.known
    if row.what == "hours":
        return f"{row.name}: hours", f"× {row.own:.2f}", "× 1", row.known
    if row.what == "life" and row.table is not None:
        years = f"{row.table[0]:g} to {row.table[1]:g} years"
        return f"{row.name}: holds", f"{row.own:.1f} years", years, row.known
    if row.table is not None:
        low, high = (f"{each:.0%}" for each in row.table)
        table = f"{low} to {high}"
    return f"{row.name}: {'done again' if row.what == 'redo' else 'there'}", f"{row.own:.0%}", table, row.known


def _print_owned(book: Book) -> None:
    from trimwright.units import money

    for each in sorted(book.rates, key=lambda each: each.on):
        print(f"an hour: {money(each.hour, each.currency, code=True)} since {each.on}")
    shelf = [" ".join(filter(None, (each.material, each.colour, f"{each.amount:g}"))) for each in book.stock]
    learned = [each.name for each in book.jobs]
    for label, named in (("tools", list(book.tools)), ("on the shelf", shelf), ("learned from", learned)):
        if named:
            print(f"{label}: {'; '.join(named)}")


def _as_json(book: Book, rows: Iterable[Difference]) -> dict[str, Any]:
    from dataclasses import asdict

    held = book.model_dump(mode="json", include={"rates", "tools", "stock", "jobs"})
    return {"figures": [asdict(each) for each in rows], **held}

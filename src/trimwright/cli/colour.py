"""`trimwright colour`: the card to print, what is to be matched, the mix for it, and the swatch beside it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from trimwright.cli.options import AsJson, BookFile, Force
from trimwright.cli.surroundings import keep, now, read_bytes, today
from trimwright.cli.workbench import JobOption, PartOption, Working, print_answer

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trimwright.book.document import Book
    from trimwright.craft.answer import Answer
    from trimwright.craft.colour.lab import Lab
    from trimwright.craft.colour.photo import Photo
    from trimwright.plan.filling import Filled

UNEVEN = "The light was uneven: take the photo again in even shade if you can."

app = typer.Typer(
    help="A colour matched, mixed and checked, with the card to print.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Target = Annotated[str | None, typer.Option(help="The colour wanted: L* a* b*, ± its doubt if known.", metavar="LAB")]
PhotoFile = Annotated[
    Path | None, typer.Option("--photo", help="Read it in window A of the card in this photo.", metavar="FILE")
]
CardFile = Annotated[
    Path | None, typer.Option("--card", help="The print's patches as measured: name, L, a, b (.csv).", metavar="FILE")
]
White = Annotated[str | None, typer.Option(help="The white of typed readings: D65 or D50.", metavar="NAME")]
Place = Annotated[str | None, typer.Option(help="Where it was read: cleaned, dirty, hidden.", metavar="PLACE")]
Before = Annotated[str | None, typer.Option(help="A trial spot before it was cleaned.", metavar="LAB")]
After = Annotated[str | None, typer.Option(help="The same spot cleaned and dry.", metavar="LAB")]
Distance = Annotated[str | None, typer.Option(help="From where it is looked at, such as 1.5 m.", metavar="LENGTH")]
Picture = Annotated[Path | None, typer.Option(help="Write the two side by side: .svg.", metavar="FILE")]


@app.command()
def card(
    out: Annotated[Path, typer.Argument(help="Where to write it: .pdf.", metavar="OUT", show_default=False)],
    paper: Annotated[Literal["a4", "us-letter"], typer.Option(help="a4 or us-letter.")] = "a4",
    force: Force = False,
) -> None:
    """Print the card of known patches that a photo needs."""
    from trimwright.papers.colour_card import colour_card_pdf

    keep(out, force)
    out.write_bytes(colour_card_pdf(now(), paper))
    print(f"{out}: print it at 100 %, on matt paper. Read its patches once with an instrument.")


@app.command()
def match(
    target: Target = None,
    photo: PhotoFile = None,
    card_file: CardFile = None,
    white: White = None,
    place: Place = None,
    before: Before = None,
    after: After = None,
    distance: Distance = None,
    book: BookFile = None,
    working: Working = False,
    as_json: AsJson = False,
) -> None:
    """What is to be matched, how well it is known, and what is there for it."""
    shot = _photo(photo, card_file)
    given = {"target": target, "white": white, "place": place, "before": before, "after": after, "distance": distance}
    typed = _typed(given, shot)
    _tell("colour match", typed, _asked("colour match", typed, _book(book), shot), working=working, as_json=as_json)


@app.command()
def mix(
    book: Annotated[Path, typer.Argument(help="The shop book: its base colours.", metavar="BOOK", show_default=False)],
    target: Target = None,
    photo: PhotoFile = None,
    card_file: CardFile = None,
    white: White = None,
    place: Place = None,
    before: Before = None,
    after: After = None,
    batch: Annotated[str | None, typer.Option(help="How much: 0.25 L, or 250 g.", metavar="AMOUNT")] = None,
    drops: Annotated[str | None, typer.Option(help="Drops in the trial pot.", metavar="COUNT")] = None,
    gloss: Annotated[bool, typer.Option("--gloss", help="Readings have the gloss in them.")] = False,
    job: JobOption = None,
    part: PartOption = None,
    keep_as: Annotated[str | None, typer.Option("--keep", help="Keep it in the book by this id.", metavar="ID")] = None,
    bottles: Annotated[str, typer.Option(help="Batch numbers of the bottles, to be kept.", metavar="TEXT")] = "",
    picture: Picture = None,
    working: Working = False,
    as_json: AsJson = False,
) -> None:
    """What to mix from the shop's base colours: drops for a trial pot, grams for the batch."""
    from trimwright.cli.workbench import filled_for
    from trimwright.craft.colour.mixing import Mixed

    shot = _photo(photo, card_file)
    given = {"target": target, "white": white, "place": place, "before": before, "after": after, "batch": batch,
             "drops": drops, "gloss": "yes" if gloss else None}  # fmt: skip
    typed = _typed(given, shot)
    filled = filled_for("colour mix", job, part, book)
    typed = {**(filled.typed if filled else {}), **typed}
    held = _book(book)
    _free(held, keep_as)
    answer = _asked("colour mix", typed, held, shot)
    assert isinstance(answer.engine, Mixed)
    if picture is not None:
        from trimwright.charts.swatches import swatches

        picture.write_text(swatches(answer.engine.target.lab, answer.engine.forecast, style="print"), encoding="utf-8")
    if keep_as is not None:
        _keep_mix(held, book, keep_as, answer.engine, bottles, photo)
    _tell("colour mix", typed, answer, filled=filled, working=working, as_json=as_json)


@app.command()
def check(
    target: Target = None,
    swatch: Annotated[str | None, typer.Option(help="How the dried swatch reads: L* a* b*.", metavar="LAB")] = None,
    photo: PhotoFile = None,
    card_file: CardFile = None,
    white: White = None,
    place: Place = None,
    before: Before = None,
    after: After = None,
    distance: Distance = None,
    pot: Annotated[
        str | None, typer.Option(help="What is in the pot: white 62, black 12; or a kept mix.", metavar="DROPS")
    ] = None,
    book: BookFile = None,
    keep_it: Annotated[bool, typer.Option("--keep", help="Note the swatch in the book beside its mix.")] = False,
    picture: Picture = None,
    working: Working = False,
    as_json: AsJson = False,
) -> None:
    """How a swatch lies beside what it should be, and what to add; in a photo, window B beside window A."""
    from trimwright.craft.ask_colour import Checked

    shot = _photo(photo, card_file)
    given = {"target": target, "swatch": swatch, "white": white, "place": place, "before": before, "after": after,
             "distance": distance, "pot": pot}  # fmt: skip
    typed = _typed(given, shot)
    if shot is not None and swatch is None:
        typed["swatch"] = str(shot.reading("B"))
        if target is None and place != "dirty":
            typed["apart"] = f"{shot.apart_spread():.1f}"
    held = _book(book)
    answer = _asked("colour check", typed, held, shot)
    assert isinstance(answer.engine, Checked)
    found = answer.engine
    if keep_it:
        _note_swatch(held, book, pot, found.swatch.lab)
    if picture is not None:
        from trimwright.charts.swatches import swatches

        drawn = swatches(
            found.target.lab, found.swatch.lab, made_is="swatch", distance_m=found.distance_m, style="print"
        )
        picture.write_text(drawn, encoding="utf-8")
    _tell("colour check", typed, answer, working=working, as_json=as_json)


# ---- shared by the commands ------------------------------------------------------------------------------------


def _photo(photo: Path | None, card_file: Path | None) -> Photo | None:
    from trimwright.craft.colour.card import read_card
    from trimwright.craft.colour.photo import read_photo
    from trimwright.errors import BadInput, Problem

    if photo is None:
        if card_file is not None:
            raise BadInput(Problem("--card", str(card_file), "goes with a photo.", "Add --photo, or leave it out."))
        return None
    measured = read_card(read_bytes(card_file).decode("utf-8", "replace"), str(card_file)) if card_file else None
    return read_photo(read_bytes(photo), str(photo), measured)


def _typed(given: Mapping[str, str | None], shot: Photo | None) -> dict[str, str]:
    """What was typed, and in place of the colour wanted what the photo shows in window A."""
    typed = {name: text for name, text in given.items() if text}
    if shot is not None and "target" not in typed:
        typed["target"] = str(shot.reading("A"))
    return typed


def _book(path: Path | None) -> Book:
    from trimwright.book.document import Book
    from trimwright.book.files import read_book

    return Book() if path is None else read_book(path)


def _asked(question: str, typed: Mapping[str, str], book: Book, shot: Photo | None) -> Answer:
    """The answer, with what the photo itself leaves to be desired."""
    from trimwright.book.colours import palette_of
    from trimwright.craft.ask_colour import colour_questions

    answer = colour_questions(palette_of(book))[question].answer(typed)
    if shot is not None and shot.is_unevenly_lit:
        answer = replace(answer, notes=(UNEVEN, *answer.notes))
    return answer


def _tell(
    question: str,
    typed: Mapping[str, str],
    answer: Answer,
    *,
    filled: Filled | None = None,
    working: bool,
    as_json: bool,
) -> None:
    if as_json:
        from trimwright.cli.terminal import print_json
        from trimwright.cli.workbench import plain_answer

        print_json(plain_answer(question, typed, filled, answer))
    else:
        print_answer(answer, filled, working=working)


def _free(book: Book, mix_id: str | None) -> None:
    """Refuse to keep a mix in another one's place."""
    from trimwright.errors import BadInput, Problem

    if mix_id in {each.id for each in book.mixes}:
        raise BadInput(Problem("--keep", str(mix_id), "is kept already.", "Choose another id."))


def _note_swatch(book: Book, path: Path | None, pot: str | None, swatch: Lab) -> None:
    """The swatch's reading beside the kept mix it was made by."""
    from trimwright.book.entries import sound
    from trimwright.book.files import write_book
    from trimwright.errors import BadInput, Problem
    from trimwright.facts import load

    mixes = {each.id: each for each in book.mixes}
    if path is None or pot not in mixes:
        raise BadInput(Problem("--keep", "", "needs a kept mix.", "Name the book and, as --pot, one of its mixes."))
    read = tuple(round(float(each), 2) for each in swatch.array())
    mixes[pot] = mixes[pot].model_copy(update={"swatch": read})
    write_book(sound(book.changed(mixes=mixes.values()), load()), path)


def _keep_mix(book: Book, path: Path, mix_id: str, mixed: object, bottles: str, photo: Path | None) -> None:
    from trimwright.book.colours import mix_said
    from trimwright.book.entries import sound, with_entry
    from trimwright.book.files import write_book
    from trimwright.craft.colour.mixing import Mixed
    from trimwright.facts import load

    assert isinstance(mixed, Mixed)
    kept = mix_said(mix_id, mixed, today().date(), bottles=bottles, photo=photo.name if photo else "")
    write_book(sound(with_entry(book, "mixes", kept), load()), path)

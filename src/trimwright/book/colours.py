"""The shop's own base colours and the mixes it has kept: as they stand in its book, and as the engine takes them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field, model_validator

from trimwright.errors import BadInput, Problem
from trimwright.job.fields import Figure, Line, Model, Name, Slug
from trimwright.units import parse_share

if TYPE_CHECKING:
    from trimwright.book.document import Book
    from trimwright.craft.colour.mixing import Mixed
    from trimwright.craft.colour.palette import Palette, Tone

WAVELENGTHS = 31
"""Shares of light thrown back, every 10 nm from 400 to 700."""

Star = Annotated[Figure, Field(ge=-128, le=128)]
Lightness = Annotated[Figure, Field(ge=0, le=100)]
Lab = Annotated[tuple[Lightness, Star, Star], Field(description="L*, a*, b* under D65, 2°")]
Reflectance = Annotated[
    tuple[Annotated[Figure, Field(gt=0, le=1)], ...], Field(min_length=WAVELENGTHS, max_length=WAVELENGTHS)
]


class OwnTint(Model):
    """A trial of a base in another one."""

    share: Figure = Field(gt=0, lt=1, description="of the base in the mass")
    beside: Slug = Field(description="the other base's id, usually the white's")
    lab: Lab = Field(description="the dried coat")
    reflectance: Reflectance | None = Field(default=None, description="of the dried coat, 400 to 700 nm")


class OwnBase(Model):
    """A base colour that the shop mixes from."""

    id: Slug = Field(description="its own in this book")
    name: Name = Field(description="what the bottle says")
    lab: Lab = Field(description="the dried coat, by itself and opaque")
    reflectance: Reflectance | None = Field(default=None, description="of the dried coat, 400 to 700 nm")
    drop: Figure = Field(default=0.05, gt=0, le=1, description="one drop from its bottle [g]")
    tints: tuple[OwnTint, ...] = Field(default=(), description="trials that say how strong it is")


class OwnDrops(Model):
    """Drops of one base in a mix."""

    base: Slug = Field(description="the base's id")
    drops: int = Field(gt=0, le=10_000, description="in the trial pot")


class OwnMix(Model):
    """A recipe that was kept: for what, of what, from which batch."""

    id: Slug = Field(description="its own in this book")
    name: Name = Field(description="what it is the colour of")
    on: date = Field(description="the day it was mixed")
    batch: Line = Field(default="", description="the batch or bottle numbers it was mixed from")
    photo: Line = Field(default="", description="the photo's file name")
    target: Lab = Field(description="what was wanted")
    drops: tuple[OwnDrops, ...] = Field(min_length=1, description="of each base in the trial pot")
    swatch: Lab | None = Field(default=None, description="how its dried swatch read")

    @model_validator(mode="after")
    def _once(self) -> OwnMix:
        if len({each.base for each in self.drops}) < len(self.drops):
            raise ValueError("names a base twice: add its drops up")
        return self


def base_said(
    base_id: str, lab: str | None, *, name: str, spectrum: Path | None, drop: float, tints: Iterable[str]
) -> dict[str, Any]:
    """A base as somebody says it, as plain data; BadInput with everything that is no reading."""
    problems: list[Problem] = []
    coat = _coat_said(lab or str(spectrum or ""), "LAB", problems) if lab or spectrum else None
    if coat is None and not problems:
        problems.append(Problem("LAB", "", "is missing.", "Write L* a* b*, or give its reflectance: --spectrum FILE."))
    if spectrum is not None and lab:
        problems.append(Problem("--spectrum", str(spectrum), "says the colour a second time.", "Give one of the two."))
    said = [_tint_said(each, problems) for each in tints]
    if problems:
        raise BadInput(problems)
    return {"id": base_id, "name": name or base_id, **(coat or {}), "drop": drop, "tints": tuple(said)}


def mix_said(mix_id: str, mixed: Mixed, on: date, *, bottles: str, photo: str = "") -> dict[str, Any]:
    """A mix to be kept, as plain data: what it was for, of what, from which bottles."""
    return {
        "id": mix_id,
        "name": mix_id,
        "on": on,
        "batch": bottles,
        "photo": photo,
        "target": tuple(round(float(each), 2) for each in mixed.target.lab.array()),
        "drops": tuple({"base": base.id, "drops": count} for base, count in mixed.used),
    }


def _tint_said(text: str, problems: list[Problem]) -> dict[str, Any]:
    share, _, rest = text.strip().partition(" ")
    beside, _, coat = rest.strip().partition(" ")
    try:
        part = parse_share(share, "--tint")
    except BadInput as error:
        problems += error.problems
        part = 0.5
    if not beside or not coat.strip():
        problems.append(Problem("--tint", text, "is no trial.", "Write 10% white 62 4 9."))
        return {}
    return {"share": part, "beside": beside, **(_coat_said(coat.strip(), "--tint", problems) or {})}


def _coat_said(text: str, where: str, problems: list[Problem]) -> dict[str, Any] | None:
    """A dried coat as its Lab, or as the name of a file with its reflectance."""
    from trimwright.craft.colour.lab import read_reading
    from trimwright.craft.colour.spectra import lab_of_spectrum, read_spectrum

    try:
        if not text.lower().endswith((".csv", ".txt")):
            lab = read_reading(text, where).lab
            return {"lab": (lab.lightness, lab.a, lab.b)}
        spectrum = read_spectrum(Path(text).read_text(encoding="utf-8", errors="replace"), text)
        lab = lab_of_spectrum(spectrum)
        rounded = tuple(round(each, 3) for each in (lab.lightness, lab.a, lab.b))
        return {"lab": rounded, "reflectance": tuple(round(each, 5) for each in spectrum)}
    except BadInput as error:
        problems += error.problems
    except OSError as error:
        problems.append(Problem(text, "", f"cannot be read ({error.strerror}).", "Check the name and the folder."))
    return None


def palette_of(book: Book) -> Palette:
    """What the shop mixes from."""
    from trimwright.craft.colour.lab import Lab as Colour
    from trimwright.craft.colour.palette import Base, KeptMix, Palette, Tint

    return Palette(
        tuple(
            Base(
                each.id,
                each.name,
                _tone(each.lab, each.reflectance),
                tuple(Tint(tint.share, tint.beside, _tone(tint.lab, tint.reflectance)) for tint in each.tints),
                each.drop,
            )
            for each in book.bases
        ),
        tuple(
            KeptMix(
                each.id,
                each.name,
                Colour(*each.target),
                tuple((part.base, part.drops) for part in each.drops),
                Colour(*each.swatch) if each.swatch else None,
            )
            for each in book.mixes
        ),
    )


def _tone(lab: tuple[float, float, float], reflectance: tuple[float, ...] | None) -> Tone:
    from trimwright.craft.colour.lab import Lab as Colour
    from trimwright.craft.colour.palette import Tone

    return Tone(Colour(*lab), reflectance)

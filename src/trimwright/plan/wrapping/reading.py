"""wheel_of(typed) → Wheel: what was typed of a wheel, read; and back again, to fill in a form.

Several stations, thumb rests, spokes or joins are several entries of one line. Every slip is told at once, each under
the name that the caller gives its line: an option of a command, or what stands beside a field.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from trimwright.craft.asking import Ask, bare_mm
from trimwright.errors import BadInput, Problem
from trimwright.job.wheel import Wheel

Read = Callable[[str, str], Any]

ASKS = (
    Ask("outside", "wheel over all", "385, or 15.2 in; a bare figure is mm"),
    Ask("grips", "tape round the bare grip", "94, or at stations 0=94, 60=98"),
    Ask("thumbs", "thumb rests, where and the grip there", "70=106, 290=106"),
    Ask("spokes", "spokes: middle = width x thickness", "90=32x18, 270=32x18"),
    Ask("over_leather", "measured over old leather so thick", "1.2"),
    Ask("oval", "section towards the hub over its width", "1.1; 1 is round", usual="1"),
    Ask("leather", "thickness of the new leather", "1.2", usual="1.2"),
    Ask("strip_across", "100 mm of it pulled, round the grip", "105"),
    Ask("strip_along", "100 mm of it pulled, along the rim", "109"),
    Ask("lacing", "lacing", usual="v", choices=("ladder", "spiral", "v", "crossed", "herring-bone")),
    Ask("pitch", "hole to hole, about", "5", usual="5"),
    Ask("margin", "hole to edge", "3.5", usual="3.5"),
    Ask("gap", "gap between the laced edges", "2", usual="2"),
    Ask("halves", "a seam on the outer line as well", usual="no", choices=("no", "yes")),
    Ask("pieces", "pieces, joined under spokes", "3; one a spoke if left empty"),
    Ask("joins", "or joins where you want them", "90, 180, 270"),
    Ask("fit", "length of the strip", usual="even", choices=("even", "edges", "leather")),
    Ask("tuck", "tucked under the spokes", "4", usual="0"),
    Ask("arm", "thread drawn through with ease", "1500", usual="1500"),
)
"""The lines of the question; places are degrees clockwise from 12 o'clock, lengths mm."""
MANY = frozenset({"grips", "thumbs", "spokes", "joins"})
"""Lines of several entries."""
NEEDED = MappingProxyType({"outside": "the wheel over all", "grips": "the tape round the grip"})
_FIGURES = (
    "over_leather", "oval", "leather", "strip_across", "strip_along", "gap", "margin", "pitch", "tuck", "arm",
)  # fmt: skip
"""Lines of one figure with a usual one."""
_LINE_OF = (
    ("test strip across", "strip_across"), ("test strip along", "strip_along"), ("grip", "grips"), ("rim", "outside"),
    ("spoke", "spokes"), ("join", "joins"), ("seam from", "joins"),
)  # fmt: skip
"""How what the engine refuses begins, and the line it was typed in."""


def entries(typed: Mapping[str, str]) -> dict[str, list[str]]:
    """The lines of a form as entries: those of several are parted by commas, semicolons or line breaks.

    >>> entries({"grips": "0=94, 60=98,5", "oval": "1,1", "tuck": " "})
    {'grips': ['0=94', '60=98,5'], 'oval': ['1,1']}
    """
    found = {
        name: [each.strip() for each in (re.split(r"[;\n]|,\s", text) if name in MANY else (text,)) if each.strip()]
        for name, text in typed.items()
    }
    return {name: told for name, told in found.items() if told}


def line_of(where: str) -> str:
    """The line that a refusal of the engine is about; empty where it is about none.

    >>> line_of("grip at 60°"), line_of("grips › 1 › grip"), line_of("pitch"), line_of("moon")
    ('grips', 'grips', 'pitch', '')
    """
    names = {each.name for each in ASKS}
    known = next((line for begins, line in _LINE_OF if where.startswith(begins)), where.partition(" ")[0])
    return known if known in names else ""


def wheel_of(
    typed: Mapping[str, Sequence[str]], measured: Wheel | None = None, *, called: Callable[[str], str] = str
) -> Wheel:
    """The measures typed, by line, over those `measured` before; BadInput with everything that is wrong with them."""
    from pydantic import ValidationError

    from trimwright.job.refusals import problems_of

    problems: list[Problem] = []
    raw: dict[str, Any] = measured.model_dump(mode="json") if measured else {}
    for name, texts in typed.items():
        try:
            read = _every(_READ[name], texts, called(name))
            raw[name] = read if name in MANY else read[0]
        except BadInput as error:
            problems += error.problems
    for name, what in NEEDED.items():
        if name not in raw and name not in typed:
            problems.append(Problem(called(name), "", "is not measured.", f"Give {what}, in mm."))
    if problems:
        raise BadInput(problems)
    thumbs, pieces = raw.pop("thumbs", ()), raw.pop("pieces", None)
    if thumbs:
        raw["grips"] = _with_thumbs(raw["grips"], thumbs, called)
    if pieces is not None:
        raw["joins"] = _joins(raw, pieces)
    try:
        return Wheel.model_validate(raw)
    except ValidationError as error:
        raise BadInput(problems_of(error)) from None


def typed_of(wheel: Wheel) -> dict[str, str]:
    """A wheel's measures as they would be typed; what is usual is left out."""
    usual = Wheel(outside=wheel.outside, grips=wheel.grips)
    one_grip = len(wheel.grips) == 1
    grips = ", ".join(f"{each.grip:g}" if one_grip else f"{each.at:g}={each.grip:g}" for each in wheel.grips)
    spokes = ", ".join(f"{each.at:g}={each.wide:g}x{each.thick:g}" for each in wheel.spokes)
    told = {
        "outside": f"{wheel.outside:g}", "grips": grips, "spokes": spokes,
        "joins": ", ".join(f"{each:g}" for each in wheel.joins), "halves": "yes" if wheel.halves else "",
    }  # fmt: skip
    for name in (
        "over_leather",
        "oval",
        "leather",
        "strip_across",
        "strip_along",
        "gap",
        "margin",
        "pitch",
        "tuck",
        "arm",
    ):
        value = getattr(wheel, name)
        if value is not None and value != getattr(usual, name):
            told[name] = f"{value:g}"
    for name in ("lacing", "fit"):
        if getattr(wheel, name) != getattr(usual, name):
            told[name] = getattr(wheel, name)
    return {name: text for name, text in told.items() if text}


# ---- one entry -------------------------------------------------------------------------------------------------------


def _every(read: Read, texts: Sequence[str], where: str) -> list[Any]:
    """Every entry of a line; all that is wrong is told."""
    found: list[Any] = []
    problems: list[Problem] = []
    for text in texts:
        try:
            found.append(read(text, where))
        except BadInput as error:
            problems += error.problems
    if problems:
        raise BadInput(problems)
    return found


def _with_thumbs(
    grips: list[dict[str, float]], thumbs: list[dict[str, float]], called: Callable[[str], str]
) -> list[dict[str, float]]:
    from trimwright.geometry.rim import with_thumbs

    if len(grips) > 1:
        what, grip = "goes with one grip for the rest of the rim.", called("grips")
        raise BadInput(Problem(called("thumbs"), "", what, f"Give one {grip}, or every station as AT=MM."))
    stations = with_thumbs(grips[0]["grip"], [(each["at"], each["grip"]) for each in thumbs])
    return [{"at": at, "grip": grip} for at, grip in stations]


def _joins(raw: dict[str, Any], pieces: int) -> list[float]:
    from trimwright.geometry.wrap import usual_joins

    return list(usual_joins([each["at"] for each in raw.get("spokes", ())], pieces))


def _number(text: str, where: str) -> float:
    from trimwright.units import parse_number

    return float(parse_number(text, where))


def _count(text: str, where: str) -> int:
    value = _number(text, where)
    if value != int(value):
        raise BadInput(Problem(where, text, "is no whole number.", "1 to 4 is usual."))
    return int(value)


def _station(text: str, where: str) -> dict[str, float]:
    at, equals, grip = text.rpartition("=")
    return {"at": _number(at, where) if equals else 0.0, "grip": bare_mm(grip, where)}


def _spoke(text: str, where: str) -> dict[str, float]:
    found = re.fullmatch(r"([^=x]+)=([^=x]+)[x×]([^=x]+)", text)
    if found is None:
        what = "is no spoke."
        raise BadInput(Problem(where, text, what, "Write its middle, width and thickness: 90=32x18."))
    return {"at": _number(found[1], where), "wide": bare_mm(found[2], where), "thick": bare_mm(found[3], where)}


def _yes(text: str, where: str) -> bool:
    if text not in ("yes", "no"):
        raise BadInput(Problem(where, text, "is neither yes nor no.", "Write yes or no."))
    return text == "yes"


def _as_it_is(text: str, where: str) -> str:
    del where
    return text


_READ: Mapping[str, Read] = MappingProxyType({
    **dict.fromkeys(("outside", "over_leather", "leather", "strip_across", "strip_along"), bare_mm),
    **dict.fromkeys(("gap", "margin", "pitch", "tuck", "arm"), bare_mm),
    "grips": _station, "thumbs": _station, "oval": _number, "spokes": _spoke, "lacing": _as_it_is, "joins": _number,
    "pieces": _count, "halves": _yes, "fit": _as_it_is,
})  # fmt: skip
"""How an entry of each line is read."""

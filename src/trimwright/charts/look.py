"""How every picture looks: one stylesheet of classes and its colour tokens, for the page, light and dark, and paper.

A page sets `stylesheet()` once. Paper knows no custom properties, so a picture for paper carries the same stylesheet
inside, with the light colours written out.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from html import escape
from importlib.resources import files
from types import MappingProxyType
from typing import Literal

from trimwright.charts.box import Box

Style = Literal["page", "print"]

LIGHT: Mapping[str, str] = MappingProxyType({
    "sheet": "#FFFDF8", "ink": "#20242B", "faint": "#6B6F76", "thread": "#9B2335", "brass": "#806026",
    "chalk": "#2C5F8A", "pale": "#D9D1C0", "shell": "#F3EBDD", "hatch": "#B9AF9B",
})  # fmt: skip
DARK: Mapping[str, str] = MappingProxyType({
    "sheet": "#24272B", "ink": "#EDE8DD", "faint": "#9DA1A6", "thread": "#E0707F", "brass": "#D1AE6C",
    "chalk": "#86B4DC", "pale": "#565B62", "shell": "#2E3136", "hatch": "#6F747B",
})  # fmt: skip
_FINISH = {"light": ("#CFD1C6", "#84A0A3", "#1F4557"), "dark": ("#3B4247", "#5F8188", "#BBDDDF")}
"""Finish 0, 5 and 10: one hue from quiet to strong, so that it survives greyscale."""
LEVELS = 11


def tokens(theme: Literal["light", "dark"]) -> dict[str, str]:
    """Every colour by its token, the eleven of finish among them."""
    low, mid, high = _FINISH[theme]
    ramp = {
        f"finish-{step}": _between(low, mid, step / 5) if step <= 5 else _between(mid, high, step / 5 - 1)
        for step in range(LEVELS)
    }
    return {**(LIGHT if theme == "light" else DARK), **ramp}


def _between(one: str, other: str, share: float) -> str:
    """A colour a `share` of the way from one to another, in sRGB.

    >>> _between("#000000", "#FFFFFF", 0.5)
    '#808080'
    """
    pairs = [(int(one[at : at + 2], 16), int(other[at : at + 2], 16)) for at in (1, 3, 5)]
    return "#" + "".join(f"{round(a + (b - a) * share):02X}" for a, b in pairs)


@cache
def _classes() -> str:
    return files("trimwright.charts").joinpath("charts.css").read_text(encoding="utf-8")


@cache
def stylesheet() -> str:
    """The style of all pictures for a page: light, dark where the reader's screen is, or as `data-theme` says."""
    light, dark = (
        "".join(f"--{name}:{colour};" for name, colour in tokens(each).items()) for each in ("light", "dark")
    )
    return (
        f":root{{{light}}}\n"
        f"@media (prefers-color-scheme: dark){{:root:not([data-theme=light]){{{dark}}}}}\n"
        f":root[data-theme=dark]{{{dark}}}\n{_classes()}"
    )


@cache
def _print_style() -> str:
    literal = tokens("light")
    style = re.sub(r"var\(--([\w-]+)\)", lambda found: literal[found[1]], _classes())
    return f"<style>{style}</style>"


def picture(name: str, box: Box, *, title: str, telling: str, body: str, style: Style) -> str:
    """A whole SVG: `name` makes its ids its own on a page, `title` and `telling` are what a screen reader says."""
    role = "group" if "<a " in body else "img"
    about = f'role="{role}" aria-labelledby="{name}-title" aria-describedby="{name}-desc"'
    said = f'<title id="{name}-title">{escape(title)}</title><desc id="{name}-desc">{escape(telling)}</desc>'
    return _svg(box, about, said + body, style)


def small_picture(box: Box, *, said: str, body: str, style: Style) -> str:
    """A small SVG of which there may be many on a page: all a screen reader says is `said`."""
    return _svg(
        box, f'role="img" aria-label="{escape(said)}"', f"<title>{escape(said)}</title>{body}", style, small=True
    )


def _svg(box: Box, about: str, inside: str, style: Style, *, small: bool = False) -> str:
    own = _print_style() if style == "print" else ""
    look = "tw-picture small" if small else "tw-picture"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{look}" {about} '
        f'viewBox="{box.left:g} {box.top:g} {box.wide:g} {box.high:g}" width="{box.wide:g}" height="{box.high:g}">'
        f"{own}{inside}</svg>"
    )

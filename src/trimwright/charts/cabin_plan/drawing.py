"""The cabin plan as SVG: the cabin from above, roof and doors folded outwards, each part a region one can tap."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from html import escape

from trimwright.charts.box import Box
from trimwright.charts.cabin_plan.layout import Backdrop, Region, lay_out
from trimwright.charts.cabin_plan.outline import Outline
from trimwright.charts.cabin_plan.shapes import WIDE
from trimwright.charts.look import LEVELS, Style, picture
from trimwright.charts.marks import bar, text
from trimwright.charts.stitches import NOT_SEEN, finish_words
from trimwright.job.document import Job, Part

_TAG_EDGE = 3.0
_TAG_COLOUR = 12.0
_TAG_LINE = 13.0
"""A part without a shape is a tag: its colour at the left and round the edge, its name on paper [units]."""


_KEY_TOLD = "The stronger the colour the better the finish, 0 ruined to 10 as new; hatched is not seen yet."


def by_anchor(part: Part) -> str:
    """Where a region leads unless told otherwise: to the part's own place on the same page."""
    return f"#{part.id}"


def draw(
    job: Job,
    colour: Mapping[str, int | None],
    *,
    title: str,
    told: Mapping[str, str] | None = None,
    selected: str | None = None,
    driver_left: bool = True,
    link: Callable[[Part], str] = by_anchor,
    name: str = "cabin",
    style: Style = "page",
) -> str:
    """The drawing, every part coloured by its level 0–10; a part with None, or not named, is hatched.

    `told` says behind a part's name what the colour means ("fit new, 379"); without it the level is a finish. `name`
    keeps the ids of two drawings on one page apart. For the page, regions are links coloured by the page's tokens; for
    paper the colours are written out and nothing can be tapped.
    """
    sheet = lay_out(job, driver_left=driver_left)
    seen = sum(colour.get(part.id) is not None for part in job.parts)
    body = [
        _hatch(name),
        *map(_backdrop, sheet.backdrops),
        *(
            _region(
                region,
                colour.get(region.part.id),
                (told or {}).get(region.part.id),
                is_selected=region.part.id == selected,
                href=link(region.part) if style == "page" else None,
                name=name,
            )
            for region in sheet.regions
        ),
        *(_touch(region, link(region.part)) for region in sheet.regions if style == "page" and region.touch),
    ]
    telling = f"The cabin from above, roof and doors folded outwards: {seen} of {len(job.parts)} parts seen."
    return picture(name, sheet.box, title=title, telling=telling, body="".join(body), style=style)


def key(*, name: str = "key", style: Style = "page") -> str:
    """What the colours of finish mean: eleven steps from ruined to as new, and the hatching of what nobody has seen."""
    across, wide = 8.0, 21.0
    steps = "".join(
        f'<g class="region f{step}">{bar("shape", across + step * wide, 4, wide, 16)}</g>'
        + text(str(step), across + (step + 0.5) * wide, 34, "middle")
        for step in range(LEVELS)
    )
    beyond = across + LEVELS * wide + 16
    unseen = bar("shape", beyond, 4, 2 * wide, 16).replace("<rect ", f'<rect fill="url(#{name}-unseen)" ')
    words = text("0 ruined, 10 as new", across, 50, "faint") + text(NOT_SEEN, beyond, 34, "")
    body = f'{_hatch(name)}{steps}<g class="region hatched">{unseen}</g>{words}'
    box = Box(0.0, 0.0, WIDE, 56.0)
    return picture(name, box, title="What the colours mean", telling=_KEY_TOLD, body=body, style=style)


def _hatch(name: str) -> str:
    """What stands for "not seen yet"."""
    return (
        f'<defs><pattern id="{name}-unseen" width="5" height="5" patternUnits="userSpaceOnUse">'
        '<rect class="hatch-ground" width="5" height="5"/>'
        '<path class="hatch-line" d="M-1 1L1 -1M0 5L5 0M4 6L6 4"/></pattern></defs>'
    )


def _backdrop(each: Backdrop) -> str:
    return f'<g class="backdrop" aria-hidden="true">{_paths(each.outlines, each.name)}{_paths(each.seams, "seam")}</g>'


def _region(
    region: Region, level: int | None, told: str | None, *, is_selected: bool, href: str | None, name: str
) -> str:
    part = region.part
    said = f"{part.name}: {told or (NOT_SEEN if level is None else finish_words(level))}"
    classes = ["region", "hatched" if level is None else f"f{level}"]
    classes += ["under"] if region.under else []
    classes += ["selected"] if is_selected else []
    fill = f' fill="url(#{name}-unseen)"' if level is None else ""
    inside = (
        f"<title>{escape(said)}</title>"
        + _paths(region.outlines, "shape", fill)
        + _paths(region.seams, "seam")
        + _label(region)
    )
    about = f'class="{" ".join(classes)}" data-part="{escape(part.id)}"'
    if href is None:
        return f"<g {about}>{inside}</g>"
    current = ' aria-current="true"' if is_selected else ""
    return f'<a {about} href="{escape(href)}" aria-label="{escape(said)}"{current}>{inside}</a>'


def _touch(region: Region, href: str) -> str:
    """Room for a finger, above the whole drawing; the region itself is what a keyboard and a screen reader meet."""
    boxes = "".join(
        f'<rect x="{box.left:.1f}" y="{box.top:.1f}" width="{box.wide:.1f}" height="{box.high:.1f}"/>'
        for box in region.touch
    )
    about = f'class="touch" data-touch="{escape(region.part.id)}" href="{escape(href)}"'
    return f'<a {about} tabindex="-1" aria-hidden="true">{boxes}</a>'


def _paths(outlines: Iterable[Outline], look: str, fill: str = "") -> str:
    data = "".join(outline.path_data() for outline in outlines)
    return f'<path class="{look}"{fill} d="{data}"/>' if data else ""


def _label(region: Region) -> str:
    if not region.label:
        return ""
    box = region.outlines[0].box()
    left, top = box.left + _TAG_COLOUR, box.top + _TAG_EDGE
    wide, high = box.right - _TAG_EDGE - left, box.high - 2 * _TAG_EDGE
    ground = f'<rect class="label-ground" x="{left:.1f}" y="{top:.1f}" width="{wide:.1f}" height="{high:.1f}" rx="4"/>'
    first = (box.top + box.bottom) / 2 + 4 - (len(region.label) - 1) * _TAG_LINE / 2
    return ground + "".join(text(each, left + 4, first + at * _TAG_LINE, "") for at, each in enumerate(region.label))

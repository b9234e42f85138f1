"""What is unwise about a wheel wrap, and what would help, each with its figure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trimwright.geometry import stretch
from trimwright.geometry.panels import notch_of
from trimwright.geometry.rim import clock
from trimwright.geometry.wrap import Wrap

PUCKERS = 0.10
"""With more to gather a plain strip puckers. From memory, no source."""
THIN_MM = 0.8
"""The thinnest leather a hand leaves whole on a wheel; skived joins are thinner. Common practice, no source."""
SHORT_PIECES = ((180, 0.90), (90, 0.79), (45, 0.59))
"""Greatest strain of a panel so long [degrees] with bowed ends over that of the whole strip, by flattening a ring of
185 mm radius with a grip of 15 mm for the least greatest strain. Simulated on that one rim; no source."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What is unwise, and ways out; without any it is only to be known."""

    what: str
    helps: tuple[str, ...] = ()


def advice(wrap: Wrap) -> tuple[Advice, ...]:
    """All there is to say, the gravest first."""
    return (*_stretched(wrap), *_gathered(wrap), *_untested(wrap), *_spokes(wrap), *_joins(wrap))


def _stretched(wrap: Wrap) -> Iterator[Advice]:
    found, stands = wrap.strain.stretched, wrap.leather.along
    if found <= stands:
        return
    what = f"The outer line must stretch {found:.1%}; this leather stands {stands:.1%} along the rim."
    eased = [share for degrees, share in SHORT_PIECES if _longest(wrap) <= degrees + 5]
    if eased and not wrap.shape.halves:
        what += f" In pieces as short as these bowed ends ease it to about {found * eased[-1]:.1%} (simulated)."
    yield Advice(what, tuple(_helps(wrap)))


def _helps(wrap: Wrap) -> Iterator[str]:
    rim, leather, shape, found = wrap.rim, wrap.leather, wrap.shape, wrap.strain.stretched
    if not shape.halves:
        flat = stretch.halves(rim, leather.thick_mm, leather.across)
        other = stretch.strain(rim, leather.thick_mm, flat, leather.across)
        yield f"A seam on the outer line as well: {other.stretched:.1%} (halves)."
        shorter = [(degrees, share) for degrees, share in SHORT_PIECES if degrees < _longest(wrap) - 5]
        if shorter:
            degrees, share = next((each for each in shorter if found * each[1] <= leather.along), shorter[-1])
            yield f"More pieces: of {degrees}° with bowed ends about {found * share:.1%} (simulated)."
        if shape.fit != "leather":
            flat = stretch.straight(rim, leather.thick_mm, "leather", leather.along)
            other = stretch.strain(rim, leather.thick_mm, flat, leather.across)
            yield (
                f"A longer strip, {flat.turn_mm:.0f} mm: {other.stretched:.1%} stretched and "
                f"{other.gathered:.1%} gathered at the seam (fit to the leather)."
            )
    if leather.thick_mm > THIN_MM:
        flat = (
            stretch.halves(rim, THIN_MM, leather.across)
            if shape.halves
            else stretch.straight(rim, THIN_MM, shape.fit, leather.along)
        )
        other = stretch.strain(rim, THIN_MM, flat, leather.across)
        yield f"Thinner leather, {THIN_MM:g} mm: {other.stretched:.1%}, if it gives as much."


def _longest(wrap: Wrap) -> float:
    """The longest panel [degrees]."""
    return max(
        (other - one) % 360 or 360 for one, other in zip(wrap.joins, (*wrap.joins[1:], wrap.joins[0]), strict=True)
    )


def _gathered(wrap: Wrap) -> Iterator[Advice]:
    if wrap.strain.gathered > PUCKERS:
        what = f"{wrap.strain.gathered:.1%} must be gathered at the seam; over {PUCKERS:.0%} a plain strip puckers."
        yield Advice(what, ("A seam on the outer line as well, shorter pieces, or a finer pitch to share it out.",))


def _untested(wrap: Wrap) -> Iterator[Advice]:
    if not wrap.leather.tested:
        what = (
            f"The stretch is guessed: {wrap.leather.across:.0%} round the grip, {wrap.leather.along:.0%} along the rim."
        )
        yield Advice(what, ("Mark 100 mm on a strip of this hide each way, pull by hand, and give what it reads.",))


def _spokes(wrap: Wrap) -> Iterator[Advice]:
    for spoke, root in zip(wrap.rim.spokes, wrap.roots, strict=True):
        notch = notch_of(wrap.cut, spoke.at, root, wrap.wide_mm[0] / 2)
        if not notch.is_cut:
            yield Advice(f"At {clock(spoke.at)} no notch is cut: the leather is only tucked in under the spoke.")


def _joins(wrap: Wrap) -> Iterator[Advice]:
    """A cross seam in plain sight though there are spokes to hide it."""
    for join in wrap.joins if wrap.rim.spokes else ():
        hidden = any(
            abs((join - spoke.at + 180) % 360 - 180) <= root.half_open
            for spoke, root in zip(wrap.rim.spokes, wrap.roots, strict=True)
        )
        if not hidden:
            yield Advice(f"The cross seam at {clock(join)} lies under no spoke: it is felt and seen.")

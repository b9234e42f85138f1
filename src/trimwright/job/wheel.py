"""What was measured of a steering wheel to be wrapped: lengths in mm, places in degrees clockwise from 12 o'clock."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from trimwright.job.fields import Figure, Model

RIMS = ("rim-leather", "suede", "hard-rim")
"""Material families of a rim that may be wrapped."""
LacingName = Literal["ladder", "spiral", "v", "crossed", "herring-bone"]


class GripAt(Model):
    """The tape round the grip at one place."""

    at: Figure = Field(default=0.0, description="where on the rim [degrees]")
    grip: Figure = Field(description="the tape's length round the grip [mm]")


class SpokeAt(Model):
    """A spoke where it enters the rim."""

    at: Figure = Field(description="its middle on the rim [degrees]")
    wide: Figure = Field(description="along the rim [mm]")
    thick: Figure = Field(description="along the column [mm]")


class Wheel(Model):
    """The measures of a wrap; what nobody has measured keeps the usual figure."""

    outside: Figure = Field(description="diameter of the wheel over all [mm]")
    grips: tuple[GripAt, ...] = Field(min_length=1, description="the tape round the grip, once or at stations")
    over_leather: Figure = Field(default=0.0, description="thickness of leather the tape went over [mm]; 0 = bare rim")
    oval: Figure = Field(default=1.0, description="the section towards the hub over its width; 1 = round")
    spokes: tuple[SpokeAt, ...] = Field(default=(), description="the spokes")
    leather: Figure = Field(default=1.2, description="thickness of the new leather [mm]")
    strip_across: Figure | None = Field(
        default=None, description="what 100 mm on a test strip read, pulled by hand the way that goes round the grip"
    )
    strip_along: Figure | None = Field(default=None, description="the same, the way that goes along the rim")
    gap: Figure = Field(default=2.0, description="left between the laced edges [mm]")
    margin: Figure = Field(default=3.5, description="hole to edge [mm]")
    pitch: Figure = Field(default=5.0, description="hole to hole on the wheel, about [mm]")
    lacing: LacingName = Field(default="v", description="how it is laced")
    joins: tuple[Figure, ...] = Field(default=(), description="where pieces meet [degrees]; none = under every spoke")
    fit: Literal["even", "edges", "leather"] = Field(
        default="even",
        description="length of the strip: even strain, edges without gathering, or as the leather stands",
    )
    halves: bool = Field(default=False, description="a seam on the outer line as well")
    tuck: Figure = Field(default=0.0, description="leather tucked under the spokes [mm]")
    arm: Figure = Field(default=1500.0, description="thread drawn through comfortably [mm]")

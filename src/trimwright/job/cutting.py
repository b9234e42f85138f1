"""What the pieces of a part come to once they are drawn, and what they take off the material once they are laid."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from trimwright.job.fields import FactId, Figure, Model, Text
from trimwright.units import MAX_AREA_MM2


class Cutting(Model):
    """The pieces that one treatment cuts out of one material, for all of the part; else its rule of thumb holds."""

    treatment: FactId = Field(description="what they are cut for (`trimwright facts treatments`)")
    material: FactId = Field(description="what they are cut out of (`trimwright facts materials`)")
    pieces_mm2: int = Field(gt=0, le=MAX_AREA_MM2, description="area of all pieces as they are cut")
    taken: Figure | None = Field(
        default=None, gt=0, le=1000,
        description="this part's share of what they were laid on, in the material's own unit; none = not laid yet",
    )  # fmt: skip
    laid_on: Text = Field(default="", description="what they were laid on")
    day: date = Field(description="when")

"""What every event tells, somebody's yes, a figure not known yet; and the plain note."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from pydantic import Field, model_validator

from trimwright.job.fields import (
    FilledText,
    Line,
    Model,
    Name,
    Slug,
    Text,
)

MAX_MINUTES = 100_000

Minutes = Annotated[int, Field(ge=0, le=MAX_MINUTES)]
How = Literal["call", "message", "in person", "signed"]


class Yes(Model):
    """Somebody's yes, as it can be shown later: when, who, how."""

    at: datetime = Field(description="when it was given")
    name: Name = Field(description="who gave it")
    how: How = Field(description="how it was given")


class Range(Model):
    """A figure that is not known yet: least, most likely, most; all three alike once it is."""

    low: int = Field(ge=0, le=10**12, description="the least")
    likely: int = Field(ge=0, le=10**12, description="most likely")
    high: int = Field(ge=0, le=10**12, description="the most")

    @model_validator(mode="after")
    def _in_order(self) -> Range:
        if not self.low <= self.likely <= self.high:
            raise ValueError("low, likely and high must not fall")
        return self


NOTHING = Range(low=0, likely=0, high=0)


class Happened(Model):
    """What every event tells."""

    id: Slug = Field(description="its own in this job")
    at: datetime = Field(description="when")
    by: Line = Field(default="", description="who noted it")
    photos: tuple[Name, ...] = Field(default=(), description="where its pictures are")
    note: Text = Field(default="", description="anything else")


class Note(Happened):
    """Something worth remembering: a call, a question, an agreement beside the plan."""

    kind: Literal["note"] = Field(default="note", description="which kind of event it is")
    part: Slug | None = Field(default=None, description="the part it concerns")
    note: FilledText = Field(description="what happened")

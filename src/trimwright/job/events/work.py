"""Work as it is done: a part, a task of the calendar, and the shop's air it was done in."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from trimwright.job.events.happened import Happened, Minutes
from trimwright.job.fields import (
    CourseId,
    Figure,
    Finish,
    Slug,
    TaskId,
)

WorkState = Literal["begun", "finished"]


class Done(Happened):
    """A part's course is done."""

    kind: Literal["done"] = Field(default="done", description="which kind of event it is")
    part: Slug = Field(description="the part")
    course: CourseId = Field(description="the course done, or leave")
    minutes: Minutes = Field(default=0, description="what it took, all tries together [min]")
    finish: Finish | None = Field(default=None, description="the finish it has now; none = as planned")
    redone: int = Field(default=0, ge=0, le=50, description="times it had to be done again")


class Worked(Happened):
    """A task of the calendar was begun, or is finished; what it took is told once more when its part is done."""

    kind: Literal["worked"] = Field(default="worked", description="which kind of event it is")
    task: TaskId = Field(description="the task, as the calendar names it (`trimwright bench`)")
    state: WorkState = Field(description="whether it was begun or is finished")
    minutes: Minutes = Field(default=0, description="hands-on time so far [min]; 0 = nobody looked at the clock")
    redone: int = Field(default=0, ge=0, le=50, description="times it had to be done again")


class Air(Happened):
    """What the thermometer and the hygrometer of the shop read."""

    kind: Literal["air"] = Field(default="air", description="which kind of event it is")
    temperature: Annotated[Figure, Field(ge=-30, le=60)] = Field(description="of the air [°C]")
    humidity: Annotated[Figure, Field(gt=0, le=100)] = Field(description="relative humidity [%]")

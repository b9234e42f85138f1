"""The intake in words: how the car came in, for the owner to sign."""

from __future__ import annotations

from trimwright.job.document import Job
from trimwright.job.events import Intake
from trimwright.papers.press import day
from trimwright.papers.wording import Words, head, sentence, text


def in_words(job: Job, intake: Intake) -> Words:
    """All that the intake sheet prints."""
    rows = {
        "Taken in": f"{day(intake.at)}, {intake.at:%H:%M}" + (f", by {intake.by}" if intake.by else ""),
        "Airbag and belt lamp": intake.restraint_lamp,
        "Odometer": intake.odometer,
        "Keys": str(intake.keys),
        "Radio code": "written down with the shop" if intake.radio_code else "none given",
        "Photographs": ", ".join(intake.angles) or "none",
    }
    return {
        **head(job, "Intake"),
        "rows": [{"name": name, "told": text(sentence(told))} for name, told in rows.items() if told],
        "lists": [
            {"name": name, "lines": [sentence(each) for each in lines], "none": none}
            for name, lines, none in (
                ("Other warning lamps on", intake.lamps, "none"),
                ("Does not work, before any work", intake.faults, "nothing was found"),
                ("Left in the car", intake.belongings, "nothing"),
            )
        ],
        "note": text(intake.note),
        "fuel": intake.fuel_smell,
        "signed": signed(intake),
    }


def signed(intake: Intake) -> str:
    """Who signed and when; empty while nobody has."""
    yes = intake.yes
    return text(f"Signed: {yes.name}, {day(yes.at)}, {yes.at:%H:%M} ({yes.how}).") if yes else ""

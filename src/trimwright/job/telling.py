"""A change and a value in words, for the history, for comparing and for asking which of two shall stand.

The facts' own names stand for their ids, however the shop's book has changed their figures.
"""

from __future__ import annotations

from pydantic import JsonValue, ValidationError

from trimwright import units
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.fields import treatments_named
from trimwright.job.history import told
from trimwright.job.refusals import shortened
from trimwright.job.wheel import Wheel

Steps = tuple[str | int, ...]
"""A path from the document down, as an edit has it."""

_GROUPS = ("car", "money", "time", "wishes")
"""What their fields are called needs no group's name before it."""
_MONEY = frozenset(
    {"sum", "labour_rate", "low", "likely", "high", "delivery", "expected", "paid", "returned", "money", "came"}
)
_LABELS = {
    "finish_now": "finish",
    "area_mm2": "area",
    "length_mm": "length",
    "bans": "must not have",
    "pin": "pinned to",
}
_OF_THE_FACTS = frozenset({"fault", "material", "tools", "pin", "bans"})
_TELLING = ("name", "fault", "source", "material", "what", "id")
"""The field that tells best what an entry is."""


def subject(path: Steps, job: Job) -> str:
    """What a path leads to, as people call it, such as "Front cushion cover, driver's: finish"."""
    if path[0] == "parts" and len(path) > 1:
        words = [_label(step) for step in path[2:]]
        return f"{part_name(path[1], job)}: {' '.join(words)}".rstrip(": ")
    if path[0] == "events" and len(path) > 1:
        words = [_label(step) for step in path[2:]]
        return f"{_event_name(path[1], job)}: {' '.join(words)}".rstrip(": ")
    words = [_label(step) for step in (path[1:] if path[0] in _GROUPS and len(path) > 1 else path)]
    return " ".join(words).capitalize() + ":"


def _label(step: str | int) -> str:
    if isinstance(step, int):
        return str(step + 1)
    return _LABELS.get(step, step.replace("_", " "))


def part_name(part: str | int, job: Job) -> str:
    """What people call a part; its id when it is not there."""
    return next((each.name for each in job.parts if each.id == part), str(part))


def _event_name(event: str | int, job: Job) -> str:
    for number, each in enumerate(job.events):
        if event in (each.id, number):
            return told(each.model_dump(mode="json"), job)
    return str(event)


def shown(path: Steps, value: JsonValue, job: Job) -> str:
    """A value as people read it."""
    field = next((step for step in reversed(path) if isinstance(step, str)), "")
    if isinstance(value, dict) and "fault" in value:
        return ", ".join(_named(str(value[each])) for each in ("fault", "extent") if value.get(each))
    if isinstance(value, dict) and "grips" in value:
        return _wheel(value)
    if isinstance(value, dict) and "pieces_mm2" in value:
        return _cutting(value, job.car.units)
    if isinstance(value, dict):
        return _named(shortened(next((value[key] for key in _TELLING if value.get(key)), ""))) or "an entry"
    if isinstance(value, list):
        return ", ".join(shown(path, each, job) for each in value) or "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int) and field in _MONEY:
        return units.money(value, job.money.currency, code=True)
    if isinstance(value, int) and field == "area_mm2":
        return units.area(value, job.car.units)
    if isinstance(value, int) and field == "length_mm":
        return units.length(value, job.car.units)
    if isinstance(value, str) and field in _OF_THE_FACTS:
        return ", ".join(_named(each) for each in treatments_named(value)) or "none"
    return "none" if value is None or value == "" else shortened(value)


def _wheel(measures: dict[str, JsonValue]) -> str:
    """A wheel's measures: its size, grip and spokes, and all else that differs from the usual.

    >>> _wheel({"outside": 400.0, "grips": [{"grip": 94.0}, {"at": 70.0, "grip": 106.0}], "pitch": 6.0, "gap": 2.0})
    '400 mm over all, grip 94 to 106 at 2 places, pitch 6'
    """
    try:
        wheel = Wheel.model_validate(measures)
    except ValidationError:
        return "measures that can't be read"
    grips = sorted(each.grip for each in wheel.grips)
    told = [f"{wheel.outside:g} mm over all", f"grip {grips[0]:g}"]
    if len(grips) > 1:
        told[1] += f" to {grips[-1]:g} at {len(grips)} places"
    if wheel.spokes:
        told.append("spokes at " + " and ".join(f"{each.at:g}°" for each in wheel.spokes))
    usual = Wheel(outside=wheel.outside, grips=wheel.grips, spokes=wheel.spokes)
    changed = {
        name: getattr(wheel, name) for name in Wheel.model_fields if getattr(wheel, name) != getattr(usual, name)
    }
    return ", ".join([*told, *(_measure(name.replace("_", " "), value) for name, value in changed.items())])


def _cutting(cut: dict[str, JsonValue], system: units.System = "metric") -> str:
    """What was drawn and laid of a part.

    >>> _cutting({"treatment": "leather_recover", "material": "leather_hide", "pieces_mm2": 821379, "taken": None})
    're-cover in leather from own pattern: 0.82 m² of pieces out of upholstery leather, pigmented, 1.0-1.3 mm; not laid'
    """
    area = units.area(int(str(cut["pieces_mm2"])), system)
    pieces = f"{_named(str(cut['treatment']))}: {area} of pieces out of {_named(str(cut['material']))}"
    return f"{pieces}; laid on {cut['laid_on']}" if cut.get("taken") else f"{pieces}; not laid"


def _measure(name: str, value: object) -> str:
    """One measure of a wheel with its name."""
    if isinstance(value, bool):
        return name
    if isinstance(value, tuple):
        return f"{name} at " + " and ".join(f"{each:g}°" for each in value)
    return f"{name} {value:g}" if isinstance(value, float) else f"{name} {value}"


def _named(known: str) -> str:
    """What the facts call an id of theirs; anything else as it is."""
    trade = load()
    for table in (trade.faults, trade.families, trade.treatments, trade.materials, trade.tools):
        if known in table:
            return str(table[known].name)
    return known

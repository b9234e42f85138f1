"""What the intake asks, from text to an event, and what it shows: the car before anybody touches it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

from django import forms
from django.utils.translation import gettext_lazy

from trimwright.job.events import Angle, Intake, RestraintLamp
from trimwright.web.jobs import store
from trimwright.web.jobs.forms import Form

PHOTO_OF = "intake:"
"""Photos of an angle are of `intake:ANGLE`."""
LAMPS = {
    "lights, then goes out": gettext_lazy("lights, then goes out"),
    "stays on": gettext_lazy("stays on"),
    "does not light": gettext_lazy("does not light"),
    "no current": gettext_lazy("no current, can’t be seen"),
    "none fitted": gettext_lazy("the car has none"),
}
ANGLES = {
    "dash": gettext_lazy("Dash, from between the seats"),
    "driver's door open": gettext_lazy("Driver’s door, open"),
    "passenger's door open": gettext_lazy("Passenger’s door, open"),
    "front seats": gettext_lazy("Front seats, from the front"),
    "rear seats": gettext_lazy("Rear seats"),
    "roof": gettext_lazy("Roof, from below"),
    "floor": gettext_lazy("Floor, mats out"),
    "boot": gettext_lazy("Boot"),
}
LISTS = ("lamps", "faults", "belongings")
"""Fields of which each line is an entry."""


class Lines(forms.CharField):
    """A list typed a line an entry."""

    def __init__(self, **how: Any) -> None:
        super().__init__(max_length=8000, required=False, widget=forms.Textarea(attrs={"rows": 3}), **how)

    def clean(self, value: Any) -> Any:
        lines = [each.strip() for each in super().clean(value).splitlines() if each.strip()]
        if any(len(each) > 200 for each in lines):
            raise forms.ValidationError(gettext_lazy("A line has at most 200 letters."))
        return lines


class IntakeForm(Form):
    """How the car came in."""

    fuel_smell = forms.TypedChoiceField(
        label=gettext_lazy("Can fuel be smelt, in the car or under it?"), widget=forms.RadioSelect,
        choices=(("no", gettext_lazy("no")), ("yes", gettext_lazy("yes"))), coerce=lambda told: told == "yes",
    )  # fmt: skip
    restraint_lamp = forms.ChoiceField(
        label=gettext_lazy("Airbag and belt lamp, when the key is turned"), widget=forms.RadioSelect,
        choices=[(each, LAMPS[each]) for each in get_args(RestraintLamp)],
    )  # fmt: skip
    lamps = Lines(label=gettext_lazy("Other warning lamps that stay on, a line each"))
    faults = Lines(label=gettext_lazy("What does not work, a line each: windows, locks, heater, seats, radio"))
    radio_code = forms.CharField(label=gettext_lazy("Radio code"), max_length=200, required=False)
    keys = forms.IntegerField(label=gettext_lazy("Keys"), min_value=0, max_value=20, initial=1)
    odometer = forms.CharField(label=gettext_lazy("Odometer, with its unit"), max_length=200, required=False)
    belongings = Lines(label=gettext_lazy("What lies in the car, a line each"))
    note = forms.CharField(
        label=gettext_lazy("Anything else"), max_length=2000, required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )  # fmt: skip


def typed(intake: Intake | None) -> dict[str, Any]:
    """An intake as the form holds it."""
    if intake is None:
        return {}
    told = {name: getattr(intake, name) for name in ("restraint_lamp", "radio_code", "keys", "odometer", "note")}
    lists = {name: "\n".join(getattr(intake, name)) for name in LISTS}
    return {**told, **lists, "fuel_smell": "yes" if intake.fuel_smell else "no"}


def angles(key: str) -> dict[str, str]:
    """The newest photo from each angle, by the angle."""
    found = store.photos_of(key, PHOTO_OF)
    return {of.removeprefix(PHOTO_OF): names[-1] for of, names in found.items() if of.removeprefix(PHOTO_OF) in ANGLES}


def shown(taken: Mapping[str, str]) -> list[dict[str, Any]]:
    """Every angle with its photo, where there is one."""
    return [{"id": each, "name": ANGLES[each], "photo": taken.get(each, "")} for each in get_args(Angle)]

"""The form for a part the list does not have: one of the trade's kinds, or the person's own."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from trimwright.facts.trade import PartKind, Place, Trade
from trimwright.job.document import Job, OwnKind, Part
from trimwright.job.edits import AddPart
from trimwright.job.equipping import last_of_zone
from trimwright.job.fields import free_id
from trimwright.job.starting import id_from, new_part
from trimwright.web.jobs.walking import kinds_for, zones

PLACE_WORDS: dict[Place, Any] = {
    "driver": _("driver’s side"),
    "passenger": _("passenger’s side"),
    "rear_driver": _("rear, driver’s side"),
    "rear_passenger": _("rear, passenger’s side"),
}


class AddPartForm(forms.Form):
    """What is it, on which side; for a part of one's own also its name, zone and material."""

    kind = forms.ChoiceField(label=_("What is it?"))
    place = forms.ChoiceField(label=_("On which side?"), required=False)
    name = forms.CharField(label=_("What do you call it?"), max_length=200, required=False)
    zone = forms.ChoiceField(label=_("Where in the cabin?"), required=False)
    material = forms.ChoiceField(label=_("Of what?"), required=False)
    is_restraint = forms.BooleanField(
        label=_("It is a belt, an airbag or a part of them"),
        help_text=_("Such a part is only ever left or replaced new."),
        required=False,
    )

    def __init__(self, *args: Any, job: Job, trade: Trade, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.job, self.trade = job, trade
        kinds = [(zone, [(kind.id, kind.name) for kind in there]) for zone, there in kinds_for(job, trade).items()]
        self._choices("kind", [("", "…"), ("own", _("something of my own")), *kinds])
        self._choices("place", [("", _("no side, or the next free one")), *PLACE_WORDS.items()])
        self._choices("zone", [(zone.name, zone.name) for zone in zones(job, trade)])
        self._choices("material", [(family.id, family.name) for family in trade.families.values()])

    def _choices(self, field: str, choices: list[Any]) -> None:
        chosen = self.fields[field]
        assert isinstance(chosen, forms.ChoiceField)
        chosen.choices = choices

    def clean(self) -> dict[str, Any]:
        told = self.cleaned_data
        if told.get("kind") == "own":
            for field in ("name", "zone", "material"):
                if not told.get(field):
                    self.add_error(field, _("A part of your own needs this."))
        elif told.get("kind") and told.get("place"):
            kind = self.trade.parts[told["kind"]]
            if told["place"] not in (kind.places_on(self.job.car.body) or (None,)):
                self.add_error("place", _("Such a part is not met on this side."))
        return told

    def edit(self) -> AddPart:
        """The part behind the last one of its zone, under an id that is free."""
        told = self.cleaned_data
        taken = {part.id for part in self.job.parts}
        if told["kind"] == "own":
            part = Part(
                id=free_id(id_from(told["name"]), taken),
                kind="own",
                name=told["name"],
                place=told["place"] or None,
                own=OwnKind(zone=told["zone"], is_restraint=told["is_restraint"]),
                material=told["material"],
            )
            return AddPart(part=part, after=last_of_zone(self.job, self.trade, told["zone"]))
        kind = self.trade.parts[told["kind"]]
        part = new_part(kind, told["place"] or self._free_place(kind), taken)
        return AddPart(part=part, after=last_of_zone(self.job, self.trade, kind.zone))

    def _free_place(self, kind: PartKind) -> Place | None:
        """The first side that has no such part yet."""
        there = {part.place for part in self.job.parts if part.kind == kind.id}
        places = kind.places_on(self.job.car.body)
        return next((place for place in places if place not in there), places[0] if places else None)

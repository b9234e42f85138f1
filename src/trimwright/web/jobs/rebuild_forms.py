"""What the rebuild asks: a move made, a torque known or ticked, a snag, a test's result."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trimwright.errors import BadInput
from trimwright.facts.fixings import Grade
from trimwright.job.document import Job
from trimwright.units import parse_torque
from trimwright.web.jobs.forms import Form

EMPTY, OVER = "back", "written off"
"""What becomes of a bag, as its event says it."""
GRADES: tuple[Grade, ...] = ("5.8", "8.8", "10.9", "12.9")
MOST_MINUTES = 24 * 60


class TorqueField(forms.CharField):
    """A torque with its unit; cleaned, newton metres."""

    def __init__(self, **how: Any) -> None:
        attributes = {"autocomplete": "off", "placeholder": _("N·m or lbf·ft"), **how.pop("attrs", {})}
        super().__init__(max_length=40, widget=forms.TextInput(attrs=attributes), **how)

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            return parse_torque(typed)
        except BadInput as error:
            told = " ".join(f"{each.what} {each.way_out}".strip() for each in error.problems)
            raise forms.ValidationError(told[:1].upper() + told[1:]) from None


class BagForm(Form):
    """What became of a bag: nothing of it is left over without a reason."""

    bag = forms.ChoiceField(
        label=gettext_lazy("The bag"),
        choices=(
            (EMPTY, gettext_lazy("empty: every fixing is back in")),
            (OVER, gettext_lazy("something is left over")),
        ),
        widget=forms.RadioSelect,
    )
    why = forms.CharField(label=gettext_lazy("What is left over, and why it may be"), max_length=2000, required=False)

    def clean(self) -> dict[str, Any]:
        told = self.cleaned_data
        if told.get("bag") == OVER and not told.get("why"):
            self.add_error("why", _("Nothing is left over without a reason: say which, and why."))
        return told


class MadeForm(BagForm):
    """A move of the way back, noted as made: what it asks depends on the move."""

    minutes = forms.IntegerField(
        label=gettext_lazy("Minutes it took"), min_value=0, max_value=MOST_MINUTES, required=False
    )
    note = forms.CharField(label=gettext_lazy("Note"), max_length=2000, required=False)

    def __init__(
        self, *args: Any, marks: tuple[str, ...], trained: bool, nobody: bool, bag: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.marks = marks
        if marks:
            self.fields["marks"] = forms.MultipleChoiceField(
                label=gettext_lazy("As marked"), choices=[(each, each) for each in marks],
                widget=forms.CheckboxSelectMultiple, required=False,
            )  # fmt: skip
        if trained:
            self.fields["trained"] = forms.CharField(label=gettext_lazy("Who, trained for it"), max_length=120)
        if nobody:
            self.fields["nobody"] = forms.BooleanField(label=gettext_lazy("Nobody is in the car"))
        if not bag:
            del self.fields["bag"], self.fields["why"]

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        if self.marks and set(told.get("marks", ())) != set(self.marks):
            self.add_error("marks", _("Every mark is matched and ticked before it is back."))
        return told


class FigureForm(Form):
    """What is known of one bolt: the figure of the car's own book; where it holds nobody, its size and class."""

    torque = TorqueField(label=gettext_lazy("By the car’s own book, with its unit"), required=False)
    page = forms.CharField(label=gettext_lazy("Where it stands in the book"), max_length=200, required=False)
    thread = forms.CharField(label=gettext_lazy("Size, such as M8"), max_length=12, required=False)
    grade = forms.ChoiceField(
        label=gettext_lazy("Class on its head"), choices=[("", "—"), *((each, each) for each in GRADES)], required=False
    )

    def __init__(self, *args: Any, holds: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.holds = holds

    def clean(self) -> dict[str, Any]:
        told = self.cleaned_data
        if self.holds and "torque" in told and told["torque"] is None:
            self.add_error("torque", _("What holds people goes by the car’s own book: give its figure."))
        if told.get("torque") and not told.get("page"):
            self.add_error("page", _("Say where it stands, so that it can be looked up again."))
        if not self.holds and not any(told.get(each) for each in ("torque", "thread", "grade")) and not self.errors:
            self.add_error("torque", _("Give the book’s figure, or size and class."))
        return told

    @property
    def known(self) -> Mapping[str, Any]:
        """As an event holds it."""
        told = self.cleaned_data
        found = {"newton_metres": told["torque"], "page": told["page"]}
        if not self.holds:
            found |= {"thread": told["thread"], "grade": told["grade"]}
        return {name: value for name, value in found.items() if value}


class TickForm(Form):
    """What the wrench was set to when it clicked."""

    set_to = TorqueField(label=gettext_lazy("The wrench was set to"))


class SnagForm(Form):
    """Something that is not right."""

    what = forms.CharField(label=gettext_lazy("What is not right"), max_length=200)

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [("", _("the whole cabin")), *((each.id, each.name) for each in job.parts)]
        self.fields["part"] = forms.ChoiceField(label=gettext_lazy("Where"), choices=choices, required=False)


class PutRightForm(Form):
    """What putting a snag right took; or why it is left."""

    minutes = forms.IntegerField(
        label=gettext_lazy("Minutes it took"), min_value=0, max_value=MOST_MINUTES, required=False
    )
    note = forms.CharField(label=gettext_lazy("Why it is left, and who agreed"), max_length=2000, required=False)


class ScanForm(Form):
    """A bag by its code: typed, read by the browser, or in a picture."""

    code = forms.CharField(
        label=gettext_lazy("Bag"), max_length=200, required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
    )  # fmt: skip

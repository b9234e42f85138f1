"""What is asked of people: Django's own forms, in our words."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm, SetPasswordForm, UserCreationForm
from django.contrib.auth.models import User
from django.utils.translation import gettext_lazy as _

NAME, PASSPHRASE, AGAIN = _("Name"), _("Passphrase"), _("Once more")
AT_LEAST = _("At least ten letters, and none of the usual ones.")
NOT_ALIKE = _("The two are not alike.")
LONGEST_NAME = 40


class LogInForm(AuthenticationForm):
    """Who comes in."""

    error_messages = {  # noqa: RUF012
        **AuthenticationForm.error_messages,
        "invalid_login": _("That is not the name and the passphrase."),
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"label_suffix": "", **kwargs})
        _worded(self, username=NAME, password=PASSPHRASE)


class NewPersonForm(UserCreationForm):  # type: ignore[type-arg]
    """Somebody who gets an account."""

    is_owner = forms.BooleanField(
        label=_("May change money, as the owner does"),
        help_text=_("Sums, prices, quotes, the shop book, and who has an account."),
        required=False,
    )
    error_messages = {"password_mismatch": NOT_ALIKE}  # noqa: RUF012

    class Meta:
        model = User
        fields = ("username",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"label_suffix": "", **kwargs})
        _worded(self, username=NAME, password1=PASSPHRASE, password2=AGAIN)
        self.fields["username"].help_text = _("One word: letters, digits and . _ - @ +")
        self.fields["username"].widget.attrs |= {"maxlength": LONGEST_NAME, "autocomplete": "off", "autofocus": False}
        self.order_fields(["username", "password1", "password2", "is_owner"])

    def clean_username(self) -> Any:
        name = super().clean_username()
        if name and len(name) > LONGEST_NAME:
            raise forms.ValidationError(_("That is too long for a signature."))
        return name


class ResetForm(SetPasswordForm):  # type: ignore[type-arg]
    """A new passphrase for somebody."""

    error_messages = {"password_mismatch": NOT_ALIKE}  # noqa: RUF012

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"label_suffix": "", **kwargs})
        _worded(self, new_password1=_("New passphrase"), new_password2=AGAIN)


class OwnPassphraseForm(PasswordChangeForm):
    """A new passphrase of one's own."""

    error_messages = {  # noqa: RUF012
        "password_mismatch": NOT_ALIKE,
        "password_incorrect": _("That is not your passphrase."),
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"label_suffix": "", **kwargs})
        _worded(self, old_password=_("Passphrase until now"), new_password1=_("New passphrase"), new_password2=AGAIN)
        self.fields["old_password"].widget.attrs["autofocus"] = False


def _worded(form: forms.BaseForm, **labels: Any) -> None:
    """Our labels; what a passphrase needs is said once, beside the first new one."""
    for name, label in labels.items():
        field = form.fields[name]
        field.label = label
        if isinstance(field.widget, forms.PasswordInput):
            field.help_text = AT_LEAST if label in (PASSPHRASE, _("New passphrase")) and name != "password" else ""

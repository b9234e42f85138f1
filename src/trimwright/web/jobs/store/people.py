"""People with an account: Django's users, the owner's group, and who may be put away."""

from __future__ import annotations

from django.contrib.auth.models import Group, Permission, User
from django.db import transaction
from django.utils.translation import gettext as _

from trimwright.errors import BadInput, Problem
from trimwright.web.jobs.devices import CHANGE_MONEY, Device
from trimwright.web.jobs.store.allowed import refuse_hands
from trimwright.web.jobs.store.rows import NoSuchRecord

OWNERS = "owners"
"""The group of those who may change money."""


def people() -> list[User]:
    """Everyone with an account, owners first, those put away last; `is_owner` tells the two apart."""
    owners = set(User.objects.filter(groups__name=OWNERS).values_list("pk", flat=True))
    everyone = list(User.objects.all())
    for each in everyone:
        each.is_owner = each.pk in owners  # type: ignore[attr-defined]
    return sorted(everyone, key=lambda each: (not each.is_active, each.pk not in owners, each.username.casefold()))


def owner() -> User | None:
    """The owner who has been here longest; None while nobody has an account."""
    return User.objects.filter(groups__name=OWNERS, is_active=True).order_by("pk").first()


def person(pk: int) -> User:
    """Somebody's account."""
    found = User.objects.filter(pk=pk).first()
    if found is None:
        raise NoSuchRecord(f"person {pk}")
    return found


def add_person(new: User, by: Device, *, is_owner: bool) -> User:
    """Keep a new account, its passphrase already hashed; the first one is the owner's."""
    refuse_hands(by, _("People"))
    with transaction.atomic():
        new.save()
        if is_owner or owner() is None:
            new.groups.add(_owners())
    return new


def keep_passphrase(of: User, by: Device) -> None:
    """Keep a passphrase that was set, already hashed; one's own, or the owner for anyone."""
    if by.person != of.get_username():
        refuse_hands(by, _("People"))
    of.save(update_fields=["password"])


def put_person_away(pk: int, by: Device) -> User:
    """Nobody comes in by this account any more; what it signed stays. BadInput for oneself and for the last owner."""
    refuse_hands(by, _("People"))
    found, first = person(pk), owner()
    others = User.objects.filter(groups__name=OWNERS, is_active=True).exclude(pk=pk)
    if found.get_username() == by.person or (first is not None and not others.exists()):
        what = _("cannot be put away: somebody has to be the owner.")
        raise BadInput(Problem(found.get_username(), "", what, _("Let another owner do it.")))
    User.objects.filter(pk=pk).update(is_active=False)
    return found


def bring_person_back(pk: int, by: Device) -> User:
    """Let somebody who was put away come in again."""
    refuse_hands(by, _("People"))
    found = person(pk)
    User.objects.filter(pk=pk).update(is_active=True)
    return found


def _owners() -> Group:
    app, _dot, codename = CHANGE_MONEY.partition(".")
    group, _made = Group.objects.get_or_create(name=OWNERS)
    group.permissions.add(Permission.objects.get(content_type__app_label=app, codename=codename))
    return group

"""Hides and offcuts kept by name with their outline, flaws and zones, each a file in a folder, to be laid on later."""

from __future__ import annotations

import json
import re
from dataclasses import asdict, dataclass
from pathlib import Path

from django.conf import settings
from django.utils import timezone
from django.utils.crypto import get_random_string
from django.utils.translation import gettext as _

from trimwright.errors import BadInput, Problem
from trimwright.geometry.nest.hide import read_hide, usable_as_is_mm2

MOST_KEPT = 200
KEY = re.compile(r"[a-z0-9]{12}")
MOST_NAME = 80


class NoSuchHide(LookupError):
    """No hide is kept by this key."""


@dataclass(frozen=True, slots=True)
class KeptHide:
    """One hide: `text` is its file, as `geometry.nest.hide.read_hide` reads it."""

    key: str
    name: str
    text: str
    on: str
    """The day it was kept, ISO."""
    area_m2: float
    zones: tuple[str, ...] = ()


def keep(name: str, text: str, key: str = "") -> KeptHide:
    """Keep a hide, in place of the one of this key if there is one; BadInput with everything that is wrong with it."""
    problems = []
    name = name.strip()[:MOST_NAME]
    if not name:
        problems.append(Problem(_("name"), "", _("is missing."), _("Say what you will know it by.")))
    if not key and len(kept()) >= MOST_KEPT:
        problems.append(Problem(_("hides"), str(MOST_KEPT), _("are kept already."), _("Take out what is cut up.")))
    try:
        hide = read_hide(text, name or _("hide"))
    except BadInput as error:
        problems += error.problems
    if problems:
        raise BadInput(problems)
    found = KeptHide(
        one(key).key if key else get_random_string(12, "abcdefghijklmnopqrstuvwxyz0123456789"),
        name,
        text,
        timezone.localdate().isoformat(),
        round(usable_as_is_mm2(hide) / 1e6, 2),
        tuple(sorted({each.name for each in hide.zones})),
    )
    _folder().mkdir(parents=True, exist_ok=True)
    _file(found.key).write_text(json.dumps(asdict(found)), encoding="utf-8")
    return found


def kept() -> tuple[KeptHide, ...]:
    """All of them, the largest first."""
    return tuple(
        sorted((_read(each) for each in _folder().glob("*.json")), key=lambda each: (-each.area_m2, each.name))
    )


def one(key: str) -> KeptHide:
    """The hide of this key; NoSuchHide where there is none."""
    if not KEY.fullmatch(key) or not _file(key).is_file():
        raise NoSuchHide(key)
    return _read(_file(key))


def drop(key: str) -> KeptHide:
    """Forget a hide that is cut up."""
    found = one(key)
    _file(key).unlink()
    return found


def _read(file: Path) -> KeptHide:
    told = json.loads(file.read_text(encoding="utf-8"))
    return KeptHide(**{**told, "zones": tuple(told["zones"])})


def _folder() -> Path:
    return Path(settings.DATA) / "hides"


def _file(key: str) -> Path:
    return _folder() / f"{key}.json"

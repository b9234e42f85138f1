"""Round a command: the day it is, and the places it may write to."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path


def keep(path: Path, force: bool) -> None:
    """Refuse to write over what somebody may have filled in, or where there is no folder."""
    from trimwright.errors import BadInput, Problem

    if not path.parent.is_dir():
        raise BadInput(Problem(str(path), "", "lies in a folder that is not there.", "Make the folder first."))
    if path.exists() and not force:
        raise BadInput(Problem(str(path), "", "is already there.", "Choose another name, or say --force."))


def read_bytes(path: Path) -> bytes:
    """What a file holds; UnreadableFile when it cannot be read."""
    from trimwright.errors import Problem, UnreadableFile

    try:
        return path.read_bytes()
    except OSError as error:
        told = f"cannot be read ({error.strerror})."
        raise UnreadableFile(Problem(str(path), "", told, "Check the name and the folder.")) from None


def read_text(path: Path) -> str:
    """What a file of text holds, whatever is no letter shown as such; UnreadableFile when it cannot be read."""
    return read_bytes(path).decode("utf-8", "replace")


def today() -> datetime:
    """The day it is, from midnight. BadInput as `now`."""
    return now().replace(hour=0, minute=0, second=0, microsecond=0)


def now() -> datetime:
    """The moment it is; that of SOURCE_DATE_EPOCH where that is set (reproducible-builds.org).

    BadInput when it is no count of seconds.
    """
    import os
    from datetime import UTC, datetime

    told = os.environ.get("SOURCE_DATE_EPOCH")
    if told is None:
        return datetime.now().astimezone()
    if told.isascii() and told.isdigit() and len(told) <= 11:
        return datetime.fromtimestamp(int(told), UTC)
    from trimwright.errors import BadInput, Problem

    raise BadInput(Problem("SOURCE_DATE_EPOCH", told, "is no count of seconds.", "Give whole seconds since 1970."))

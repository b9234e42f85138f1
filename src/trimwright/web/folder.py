"""The one folder outside the package that holds everything a shop keeps: database, photos, papers, copies, secret."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

SECRET_FILE = "secret.key"


def data_folder() -> Path:
    """`TRIMWRIGHT_DATA`, or the usual place for a program's data of this person on this system."""
    told = os.environ.get("TRIMWRIGHT_DATA")
    if told:
        return Path(told).expanduser().absolute()
    from platformdirs import user_data_path

    return user_data_path("trimwright", appauthor=False)


def prepare(folder: Path) -> None:
    """Make the folder, for this person only, and the secret that signs its sessions; both once."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    try:
        # "x": two servers started at once cannot both write a secret
        handle = os.open(folder / SECRET_FILE, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return
    with os.fdopen(handle, "w") as file:
        file.write(secrets.token_urlsafe(64))


def secret(folder: Path) -> str:
    """The folder's secret; where none was prepared, one for this process only."""
    path = folder / SECRET_FILE
    return (path.read_text() if path.is_file() else "") or secrets.token_urlsafe(64)

"""The few font files a page needs, found in the font packages and served as static files under `fonts/`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

from django.contrib.staticfiles.finders import BaseFinder
from django.core.files.storage import FileSystemStorage

FONTS = {
    "HankenGrotesk-Regular.otf": "font_hanken_grotesk",
    "HankenGrotesk-SemiBold.otf": "font_hanken_grotesk",
    "SourceSerifPro-Regular.otf": "font_source_serif_pro",
}


class FontFinder(BaseFinder):
    """Finds `fonts/NAME` in the package the font travels in."""

    def check(self, **kwargs: Any) -> list[Any]:
        return []

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        folder, _, name = path.partition("/")
        found = [str(_package_folder(FONTS[name]) / name)] if folder == "fonts" and name in FONTS else []
        return found if find_all else (found[0] if found else [])

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[tuple[str, FileSystemStorage]]:
        for name, package in FONTS.items():
            storage = FileSystemStorage(location=_package_folder(package))
            storage.prefix = "fonts"  # type: ignore[attr-defined]  # what collectstatic asks a storage for
            yield name, storage


def _package_folder(package: str) -> Path:
    return Path(str(files(package).joinpath("files")))

"""Rules of the house that no linter knows: what may not stand in a file, and what help may not import."""

from __future__ import annotations

import codecs
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

SLOW = {
    "django",
    "highspy",
    "numpy",
    "openpyxl",
    "ortools",
    "pint",
    "pydantic",
    "scipy",
    "typst",
    "rich.table",
    "iso4217",
}
"""Imported inside the functions that use them, so that help answers at once."""

MACHINE = re.compile(r"(?<![\w.])/(?:work|tmp|root|home|Users|opt)/|[A-Z]:\\Users")
REGISTRY = re.compile(r"(?:pypi|pythonhosted|npmjs|jsdelivr|unpkg|crates)\.(?:org|com|io|net)", re.IGNORECASE)
_NAMES = (
    "gblbgn ubaqn avffna znmqn fhoneh zvgfhovfuv ulhaqnv ozj zreprqrf nhqv ibyxfjntra cbefpur ibyib fnno "
    "bcry inhkunyy svng ynapvn sreenev znfrengv crhtrbg eranhyg pvgebra wnthne oragyrl puriebyrg puril "
    "ohvpx pnqvyynp cbagvnp nypnagnen qerzry ybpgvgr irypeb grsyba xriyne"
)
"""Makes and brands, written in rot13 so that the list itself names nobody."""
NAMES = re.compile(rf"\b(?:{'|'.join(codecs.decode(_NAMES, 'rot13').split())})\b", re.IGNORECASE)


@cache
def texts() -> dict[str, str]:
    """Every tracked text file by its path."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    found = {}
    for name in filter(None, listed.stdout.decode().split("\0")):
        try:
            found[name] = (ROOT / name).read_text(encoding="utf-8")
        except (UnicodeDecodeError, FileNotFoundError):
            continue
    return found


@pytest.mark.parametrize("forbidden", [MACHINE, REGISTRY, NAMES], ids=["machine paths", "registry hosts", "names"])
def test_no_file_holds(forbidden: re.Pattern[str]) -> None:
    own = Path(__file__).relative_to(ROOT).as_posix()
    found = [
        f"{name}:{text.count(chr(10), 0, hit.start()) + 1}: {hit[0]}"
        for name, text in texts().items()
        if name != own
        for hit in forbidden.finditer(text)
    ]
    assert not found


def test_help_imports_nothing_slow() -> None:
    """`trimwright --help` reads the commands; what only a command needs must not come with them."""
    listed = subprocess.run(
        [sys.executable, "-c", "import sys, trimwright.cli.commands; print(*sys.modules)"],
        capture_output=True,
        check=True,
        text=True,
    )
    assert not SLOW & set(listed.stdout.split())

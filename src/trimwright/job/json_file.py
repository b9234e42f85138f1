"""A document as a JSON file: equal documents are equal bytes, a bad file says where it is bad, nothing is half written.

`noun` is what people call the document ("job"); the refusals say it.
"""

from __future__ import annotations

import json
import os
import re
from collections import Counter
from pathlib import Path
from typing import Any, NoReturn

from pydantic import BaseModel

from trimwright.errors import Problem, UnreadableFile

MAX_BYTES = 20_000_000
"""Largest file read; a job of a thousand parts with long notes stays below it."""


def too_large(noun: str) -> str:
    """What is wrong with a file that is not even read."""
    return f"is larger than {MAX_BYTES // 1_000_000} MB, which no {noun} is."


def file_bytes(path: Path, noun: str) -> bytes:
    """What is in a file; UnreadableFile when it is not there or larger than any document, and then it is not read."""
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        _refuse(path.name or str(path), f"cannot be read ({error.strerror}).", "Check the name and the folder.")
    if len(data) > MAX_BYTES:
        _refuse(path.name or str(path), too_large(noun), "Check that it is the right file.")
    return data


def read_plain(source: Path | bytes, noun: str) -> dict[str, Any]:
    """The document in a file or in bytes as plain data, not yet checked; UnreadableFile when it is none."""
    data = source if isinstance(source, bytes) else file_bytes(source, noun)
    if len(data) > MAX_BYTES:
        _refuse("file", too_large(noun), "Check that it is the right file.")
    return _plain(_text(data, noun), noun)


def as_bytes(document: BaseModel) -> bytes:
    """The document as UTF-8 JSON: fields in the model's order, sets and mappings sorted, a line end at the end."""
    return (json.dumps(document.model_dump(mode="json"), ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def write_whole(data: bytes, path: Path) -> None:
    """Write the file whole or not at all: beside it first, then in its place."""
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        beside.write_bytes(data)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def _text(data: bytes, noun: str) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        way_out = f"Check that it is a {noun} file, and that it came whole."
        _refuse(f"byte {error.start + 1}", "is no UTF-8 text.", way_out)


def _plain(text: str, noun: str) -> dict[str, Any]:
    try:
        raw = json.loads(text, object_pairs_hook=_each_key_once)
    except json.JSONDecodeError as error:
        begun = text[error.pos :].strip()  # of a file cut short, a number, a word or nothing is left here
        if error.msg.startswith("Unterminated") or re.fullmatch(r"[\w.,+-]*", begun):
            what = f"is where the file ends, in the middle of the {noun}."
            _refuse(f"line {error.lineno}", what, "Fetch a whole copy.")
        _refuse(f"line {error.lineno}, column {error.colno}", f"is not JSON ({error.msg}).", "Undo the last hand edit.")
    except RecursionError:
        _refuse("file", f"is nested deeper than any {noun}.", f"Check that it is the {noun} file.")
    except ValueError as error:
        _refuse("file", f"holds a number that cannot be read ({error}).", "Correct the figure.")
    if not isinstance(raw, dict):
        _refuse("file", f"is not a {noun}: it holds no group of fields.", f"Check that it is the {noun} file.")
    return raw


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    counts = Counter(key for key, _ in pairs)
    if len(counts) < len(pairs):
        twice = ", ".join(repr(key) for key, count in counts.items() if count > 1)
        _refuse("file", f"gives {twice} twice in one place.", "Take one of the two out.")
    return dict(pairs)


def _refuse(where: str, what: str, way_out: str) -> NoReturn:
    raise UnreadableFile(Problem(where, "", what, way_out))

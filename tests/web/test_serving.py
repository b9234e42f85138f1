"""`trimwright serve`: makes its folder ready, puts the demo in place, opens to the network only behind a door."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest


@contextmanager
def served(folder: Path, *options: str, typed: str = "") -> Iterator[tuple[int, subprocess.Popen[str]]]:
    """The shop served from a folder on a free port."""
    with closing(socket.socket()) as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    kept = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    process = subprocess.Popen(
        [sys.executable, "-m", "trimwright", "serve", "--port", str(port), *options],
        env={**kept, "TRIMWRIGHT_DATA": str(folder), "PYTHONIOENCODING": "utf-8"},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    )
    assert process.stdin is not None
    process.stdin.write(typed)
    process.stdin.close()
    try:
        yield port, process
    finally:
        process.kill()
        process.wait()


def page(port: int, path: str = "/") -> tuple[str, dict[str, str]]:
    """A page, asked for until the server is up."""
    for _try in range(300):
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}", timeout=5) as answer:
                return answer.read().decode(), dict(answer.headers)
        except urllib.error.HTTPError:
            raise
        except OSError:
            time.sleep(0.1)
    raise AssertionError("the server does not answer")


def test_the_demo_is_in_place_and_scripts_and_fonts_are_served_for_good(tmp_path: Path) -> None:
    with served(tmp_path / "data") as (port, _process):
        text, _ = page(port)
        assert "Harbour two-door" in text
        files = re.findall(r'(?:src|href)="(/static/[^"]+)"', text)
        assert len(files) >= 5
        for each in files:
            _, headers = page_bytes(port, each)
            assert "immutable" in headers["Cache-Control"], each
        scripts = sum(len(page_bytes(port, each)[0]) for each in files if each.endswith(".js"))
        assert scripts < 60_000, "gzipped, as the first view loads them"


def page_bytes(port: int, path: str) -> tuple[bytes, dict[str, str]]:
    """A file as it travels: gzipped where it can be."""
    request = urllib.request.Request(f"http://127.0.0.1:{port}{path}", headers={"Accept-Encoding": "gzip"})
    with urllib.request.urlopen(request, timeout=5) as answer:
        return answer.read(), dict(answer.headers)


def test_started_again_it_finds_what_was_kept_and_brings_no_second_demo(tmp_path: Path) -> None:
    seen = []
    for _time in range(2):
        with served(tmp_path / "data") as (port, _process):
            seen.append(re.findall(r'href="(/jobs/\w+/)"', page(port)[0]))
    assert seen[0] == seen[1]
    assert len(seen[0]) == 1


def test_open_to_the_network_it_asks_once_for_the_owner_and_then_every_page_does(tmp_path: Path) -> None:
    passphrase = "needle and thread\n"
    for typed in ("Robin\n" + passphrase * 2, ""):
        with served(tmp_path / "data", "--lan", typed=typed) as (port, process):
            text, _ = page(port)
            assert "Passphrase" in text
            assert "Harbour two-door" not in text
            process.kill()
            assert process.stdout is not None
            told = process.stdout.read()
            assert "The owner comes in as Robin." in told
            if "On the phone" in told:
                assert "█" in told or "▀" in told, "the address as a code"
            else:
                assert "only this machine can ask" in told


@pytest.mark.parametrize(
    "typed",
    ["", "Robin\nshort\nshort\n", "two words\nneedle and thread\nneedle and thread\n"],
    ids=["nothing", "too short", "no name"],
)
def test_without_an_owner_nothing_is_opened(tmp_path: Path, typed: str) -> None:
    with served(tmp_path / "data", "--lan", typed=typed) as (_port, process):
        assert process.wait(60) == 2
        assert process.stderr is not None
        assert "without one nothing is opened to the network" in process.stderr.read()


def test_a_port_that_is_taken_is_told(tmp_path: Path) -> None:
    with closing(socket.socket()) as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        with served(tmp_path / "data", "--port", port) as (_port, process):
            assert process.wait(60) == 2
            assert process.stderr is not None
            assert "Choose another, such as --port" in process.stderr.read()

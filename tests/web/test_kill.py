"""Nothing that was acknowledged is lost, and nothing is there twice, though the server is killed in the middle of it.

A real server over a real data folder: several clients send edits at once, the server is killed with no warning
(SIGKILL), started again, and the clients send once more what was not acknowledged.
"""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass, field
from http.client import HTTPException
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.parse import urlencode

import pytest

from trimwright.job.files import read_job

pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no SIGKILL on this system")

CLIENTS = 4
KILLS = 3
EACH = 12
"""Edits of one client between two kills."""


@dataclass
class Server:
    """The served shop in a process of its own."""

    folder: Path
    port: int = 0
    process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        with closing(socket.socket()) as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        kept = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "trimwright", "serve", "--port", str(self.port)],
            env={**kept, "TRIMWRIGHT_DATA": str(self.folder)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for _try in range(300):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{self.port}/", timeout=5).read()
            except OSError:
                time.sleep(0.1)
            else:
                return
        raise AssertionError("the server does not answer")

    def kill(self) -> None:
        assert self.process is not None
        self.process.kill()
        self.process.wait()


@dataclass
class Sender:
    """One browser that sends edits until each was acknowledged, always under the same id."""

    name: str
    server: Server
    acknowledged: list[str] = field(default_factory=list)

    def send(self, key: str, edits: list[tuple[str, dict[str, object]]]) -> None:
        """Send what was not acknowledged yet; stops where the server goes away."""
        base = f"http://127.0.0.1:{self.server.port}"
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        try:
            token = re.search(r'x-csrftoken": "(\w+)"', opener.open(base, timeout=20).read().decode())
            assert token
            for edit_id, edit in edits:
                if edit_id in self.acknowledged:
                    continue
                body = urlencode({"edit": json.dumps(edit), "revision": 1, "edit_id": edit_id}).encode()
                headers = {"X-CSRFToken": token[1], "Accept": "application/json"}
                request = urllib.request.Request(f"{base}/jobs/{key}/edits/", body, headers)
                with opener.open(request, timeout=20) as answer:
                    assert json.load(answer)["saved"]["revision"]
                self.acknowledged.append(edit_id)
        except urllib.error.HTTPError as error:
            raise AssertionError(error.read().decode()) from error
        except (OSError, HTTPException, ValueError):
            return


def note(client: str, number: int) -> tuple[str, dict[str, object]]:
    """An edit nobody else makes: a note of one client's own."""
    event = {"kind": "note", "id": f"{client}-{number}", "at": "2026-11-25T10:00:00Z", "note": f"{client} {number}"}
    return f"edit-{client}-{number}", {"do": "add", "path": ["events"], "value": event}


def rows(folder: Path, query: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(folder / "trimwright.sqlite3")) as database:
        return database.execute(query).fetchall()


def test_killed_in_the_middle_of_saving_nothing_acknowledged_is_lost(tmp_path: Path) -> None:
    server = Server(tmp_path)
    senders = [Sender(f"client{number}", server) for number in range(CLIENTS)]
    edits = {each.name: [note(each.name, number) for number in range(EACH * KILLS)] for each in senders}
    server.start()
    try:
        ((key,),) = rows(tmp_path, "SELECT key FROM jobs_jobrecord")
        for kill in range(1, KILLS + 1):
            with ThreadPoolExecutor(CLIENTS) as pool:
                running = [pool.submit(each.send, str(key), edits[each.name][: EACH * kill]) for each in senders]
                began = sum(len(each.acknowledged) for each in senders)
                while not all(sending.done() for sending in running):
                    if sum(len(each.acknowledged) for each in senders) >= began + EACH:
                        break
                    time.sleep(0.002)
                server.kill()
                for ended in running:
                    ended.result()
            check(tmp_path, senders)
            server.start()
        for each in senders:
            each.send(str(key), edits[each.name])
    finally:
        server.kill()
    check(tmp_path, senders)
    assert all(len(each.acknowledged) == EACH * KILLS for each in senders)
    newest = rows(tmp_path, "SELECT document FROM jobs_revision ORDER BY number DESC LIMIT 1")[0][0]
    noted = sorted(each.id for each in read_job(str(newest).encode()).events)
    assert noted == sorted(str(e["value"]["id"]) for sent in edits.values() for _, e in sent)  # type: ignore[index]


def check(folder: Path, senders: list[Sender]) -> None:
    """What is on the disk: whole, in a row, every acknowledged edit in it exactly once, the newest named by its job."""
    assert rows(folder, "PRAGMA integrity_check") == [("ok",)]
    stored = [each for (each,) in rows(folder, "SELECT edit_id FROM jobs_revision WHERE edit_id IS NOT NULL")]
    assert len(stored) == len(set(stored))
    assert {edit for each in senders for edit in each.acknowledged} <= set(stored)
    numbers = [number for (number,) in rows(folder, "SELECT number FROM jobs_revision ORDER BY number")]
    assert numbers == list(range(1, len(numbers) + 1))
    assert rows(folder, "SELECT revision FROM jobs_jobrecord") == [(numbers[-1],)]

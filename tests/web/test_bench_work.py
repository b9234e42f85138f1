"""Files given to the workbench: worked out beside the server, told with all that is wrong, given only once."""

from __future__ import annotations

from html import unescape
from pathlib import Path
from typing import Any

import pytest
import trimesh
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from tests.craft.colour.test_photo import BROWN, TAN, photo
from tests.geometry.surfaces import seat
from trimwright.craft.colour.card import PATCHES
from trimwright.craft.colour.difference import apart
from trimwright.craft.colour.lab import read_reading
from trimwright.web.jobs import bench_files, store
from trimwright.web.jobs.bench_work import PANEL
from trimwright.web.jobs.binder import Binder, here
from trimwright.web.jobs.models import BenchWork

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def scan(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    surface, path = seat(20, 16), tmp_path_factory.mktemp("scan") / "seat.ply"
    trimesh.Trimesh(surface.points, surface.faces, process=False).export(path)
    return path.read_bytes()


def give(client: Client, view: str, file: str, data: bytes, **typed: str) -> BenchWork:
    response = client.post(reverse(view), {"file": SimpleUploadedFile(file, data), **typed})
    assert response.status_code == 302
    return store.bench_work(response["Location"].rstrip("/").rpartition("/")[2])


def page(client: Client, key: str) -> str:
    response = client.get(reverse("bench_work", args=[key]))
    assert response.status_code == 200
    return unescape(response.content.decode())


def what_came(key: str) -> dict[str, Any]:
    data = store.bench_work(key).data
    assert isinstance(data, dict)
    return data


def test_a_photo_waits_is_read_and_goes(client: Client) -> None:
    given = give(client, "colour_photo", "card.jpg", photo(TAN, BROWN))
    assert 'hx-trigger="every 1s"' in page(client, given.key)
    assert bench_files.work_next(here)
    assert not bench_files.work_next(here)
    done = store.bench_work(given.key)
    assert done.data
    for window, true in (("A", TAN), ("B", BROWN)):
        reading = read_reading(done.data[window], window, "D65")
        assert apart(reading.lab, true) <= reading.spread
    shown = page(client, given.key)
    assert "every 1s" not in shown
    assert "/workbench/colour-match/?target=" in shown
    assert "/workbench/colour-check/?target=" in shown
    assert bench_files.given(given.key) is None  # the photo goes as soon as it is read


def test_a_measured_card_is_believed_and_one_with_slips_is_refused(client: Client) -> None:
    rows = "\n".join(f"{e.name}, {e.lab.lightness}, {e.lab.a}, {e.lab.b}" for e in PATCHES)
    given = give(client, "colour_photo", "card.jpg", photo(TAN, BROWN), card=rows)
    assert bench_files.work_next(here)
    assert read_reading(what_came(given.key)["A"], "A", "D65").spread <= 3  # nobody's print is known to be so
    sent = {"file": SimpleUploadedFile("card.jpg", photo(TAN, BROWN)), "card": "a1, 94.8, 0.3"}
    response = client.post(reverse("colour_photo"), sent)
    assert response.status_code == 422
    assert "is no reading." in response.content.decode()
    assert "a1, 94.8, 0.3</textarea>" in response.content.decode()


def test_a_photo_of_nothing_says_what_to_do(client: Client) -> None:
    given = give(client, "colour_photo", "card.jpg", photo(None, None, size=(300, 200)))
    assert bench_files.work_next(here)
    assert store.bench_work(given.key).state == BenchWork.State.FAILED
    assert "That cannot be worked out as it is" in page(client, given.key)


def test_a_scan_is_laid_flat_with_its_sheets(client: Client, scan: bytes) -> None:
    given = give(client, "flat_panel", "seat.ply", scan, name="seat back", limit="4", allowance="10 mm", mirror="yes")
    assert bench_files.work_next(here)
    shown = page(client, given.key)
    assert "seat back mirrored" in what_came(given.key)["cut"]
    assert "Beyond 4.0%" in shown
    assert "airbag" in shown[: shown.index("Where it stretches")]  # the caution goes before
    assert 'value="10 mm"' in shown
    for name, kind in PANEL.files.items():
        file = client.get(reverse("bench_file", args=[given.key, name]))
        assert file["Content-Type"] == kind
        assert f"seat-back-{name}" in file["Content-Disposition"]
        assert b"".join(file.streaming_content)  # type: ignore[attr-defined]
    assert client.get(reverse("bench_file", args=[given.key, "given.ply"])).status_code == 404


def test_a_seam_cuts_it_and_the_scan_need_not_be_given_twice(client: Client, scan: bytes) -> None:
    first = give(client, "flat_panel", "seat.ply", scan)
    assert bench_files.work_next(here)
    assert f'name="again" value="{first.key}"' in page(client, first.key)
    sent = {"again": first.key, "seams": "240 -50\r\n240 900\r\n"}
    response = client.post(reverse("flat_panel"), sent, follow=True)
    assert response.status_code == 200
    assert bench_files.work_next(here)
    newest = BenchWork.objects.latest("asked_at")
    assert newest.key != first.key
    assert newest.problems == []
    assert len(what_came(newest.key)["pictures"]) == 2
    assert "Seam 1:" in page(client, newest.key)


def test_what_is_wrong_is_told_at_once_and_the_file_is_kept(client: Client, scan: bytes) -> None:
    sent = {"file": SimpleUploadedFile("seat.ply", scan), "limit": "80", "smooth": "soft", "name": "seat"}
    response = client.post(reverse("flat_panel"), sent)
    assert response.status_code == 422
    shown = unescape(response.content.decode())
    assert "is not between 0.1 and 50 per cent." in shown
    assert 'value="soft"' in shown
    assert 'value="seat"' in shown
    again = shown.partition('name="again" value="')[2][:16]
    assert bench_files.given(again)
    assert not BenchWork.objects.exists()


@pytest.mark.parametrize(("name", "said"), [("seat.step", "is of no kind that is read here."), ("", "is missing.")])
def test_what_is_no_scan_is_refused(client: Client, name: str, said: str) -> None:
    sent = {"file": SimpleUploadedFile(name, b"solid")} if name else {}
    response = client.post(reverse("flat_panel"), sent)
    assert response.status_code == 422
    assert said in unescape(response.content.decode())


def test_a_broken_scan_says_what_to_do(client: Client) -> None:
    given = give(client, "flat_panel", "seat.ply", b"ply\nbroken")
    assert bench_files.work_next(here)
    assert "Save it once more" in page(client, given.key)


def test_only_the_newest_are_kept(client: Client, monkeypatch: pytest.MonkeyPatch, own_folder: Path) -> None:
    monkeypatch.setattr(bench_files, "MOST_KEPT", 2)
    keys = [give(client, "flat_panel", "seat.ply", b"ply").key for _ in range(3)]
    assert {each.name for each in (own_folder / "bench").iterdir()} == set(keys[1:])
    assert client.get(reverse("bench_work", args=[keys[0]])).status_code == 404


def test_a_scan_is_worked_out_in_a_process_of_its_own(client: Client, scan: bytes) -> None:
    """What is told, and what is wrong, comes home whole from there."""
    good = give(client, "flat_panel", "seat.ply", scan)
    bad = give(client, "flat_panel", "seat.ply", b"ply\nbroken")
    binder = Binder()
    try:
        while bench_files.work_next(binder._there):
            pass
    finally:
        binder._end()
    assert store.bench_work(good.key).data
    assert store.bench_work(bad.key).problems

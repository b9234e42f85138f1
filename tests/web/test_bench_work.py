"""Files given to the workbench: worked out beside the server, told with all that is wrong, given only once."""

from __future__ import annotations

import json
from html import unescape
from pathlib import Path
from typing import Any

import pytest
import trimesh
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from tests.craft.colour.test_photo import BROWN, TAN, photo
from tests.geometry.surfaces import cap, seat
from trimwright.craft.colour.card import PATCHES
from trimwright.craft.colour.difference import apart
from trimwright.craft.colour.lab import read_reading
from trimwright.errors import BadInput
from trimwright.web.jobs import bench_files, store
from trimwright.web.jobs.bench_work import PANEL
from trimwright.web.jobs.bench_work.kind import tell
from trimwright.web.jobs.binder import Binder, here
from trimwright.web.jobs.models import BenchWork, State

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def scan(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    surface, path = seat(20, 16), tmp_path_factory.mktemp("scan") / "seat.ply"
    trimesh.Trimesh(surface.points, surface.faces, process=False).export(path)
    return path.read_bytes()


def give(client: Client, view: str, file: str, data: bytes, **typed: str) -> BenchWork:
    response = client.post(reverse(view), {"file": SimpleUploadedFile(file, data), **typed})
    assert response.status_code == 302
    return store.bench_work(key_in(response["Location"]))


def lay_flat(client: Client, looked: str, **typed: str) -> BenchWork:
    """What comes of pressing the page's own button once the scan was looked at."""
    response = client.post(reverse("flat_panel"), {"again": looked, **typed})
    assert response.status_code == 302
    assert bench_files.work_next(here)
    return store.bench_work(key_in(response["Location"]))


def key_in(address: str) -> str:
    """Of a page to which a post leads."""
    return address.removesuffix("/#told").rpartition("/")[2]


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
    assert store.bench_work(given.key).state == State.FAILED
    assert "That cannot be worked out as it is" in page(client, given.key)


def test_a_scan_is_laid_flat_with_its_sheets(client: Client, scan: bytes) -> None:
    looked = give(client, "flat_panel", "seat.ply", scan)
    assert bench_files.work_next(here)
    given = lay_flat(client, looked.key, name="seat back", limit="4", allowance="10 mm", mirror="yes")
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


def test_a_scan_is_looked_at_before_anybody_waits(client: Client, scan: bytes) -> None:
    looked = give(client, "flat_panel", "seat.ply", scan)
    assert bench_files.work_next(here)
    shown = page(client, looked.key)
    assert "480 × 430 × 51 mm (18.9 × 16.9 × 2.0 in)" in shown
    assert "Is it so large?" in shown
    assert "Where it stretches" not in shown
    assert f'name="again" value="{looked.key}"' in shown
    picture = client.get(reverse("bench_file", args=[looked.key, "scan.bin"]))
    assert reverse("bench_file", args=[looked.key, "scan.bin"]) in shown
    data = b"".join(picture.streaming_content)  # type: ignore[attr-defined]
    assert json.loads(data[4 : 4 + int.from_bytes(data[:4], "little")])["points"] == 320


def test_a_scan_in_another_unit_is_shown_once_more_without_giving_it_again(client: Client, tmp_path: Path) -> None:
    surface = seat(20, 16)
    trimesh.Trimesh(surface.points / 25.4, surface.faces, process=False).export(tmp_path / "seat.stl")
    looked = give(client, "flat_panel", "seat.stl", (tmp_path / "seat.stl").read_bytes(), unit="m")
    assert bench_files.work_next(here)
    assert "cm or in would fit a cabin" in page(client, looked.key)
    response = client.post(reverse("flat_panel"), {"again": looked.key, "unit": "in", "then": "look"})
    assert bench_files.work_next(here)
    assert "480 × 430 × 51 mm" in page(client, key_in(response["Location"]))


def test_a_seam_cuts_it_and_the_scan_need_not_be_given_twice(client: Client, scan: bytes) -> None:
    looked = give(client, "flat_panel", "seat.ply", scan)
    assert bench_files.work_next(here)
    flat = lay_flat(client, looked.key, seams="240 -50\r\n240 900\r\n")
    assert flat.key != looked.key
    assert flat.problems == []
    assert len(what_came(flat.key)["pictures"]) == 2
    shown = page(client, flat.key)
    assert "Seam 1:" in shown
    assert what_came(flat.key)["ways"][0]["lines"].split() == ["240", "-50", "240", "900"]
    assert len(what_came(flat.key)["ways"][0]["way"]) > 10
    assert reverse("bench_file", args=[flat.key, "scan.bin"]) in shown  # its picture came along


def test_a_dart_is_added_by_one_touch(client: Client, tmp_path: Path) -> None:
    surface = cap(100, 0.96, 12)
    trimesh.Trimesh(surface.points, surface.faces, process=False).export(tmp_path / "cap.ply")
    looked = give(client, "flat_panel", "cap.ply", (tmp_path / "cap.ply").read_bytes())
    assert bench_files.work_next(here)
    flat = lay_flat(client, looked.key, limit="6")
    assert 'name="more-seams"' in page(client, flat.key)
    dart = what_came(flat.key)["darts"][0]["lines"]
    again = lay_flat(client, flat.key, **{"limit": "6", "seams": "", "more-seams": dart})
    assert again.problems == []
    assert "Seam 1:" in page(client, again.key)
    assert f">{dart}</textarea>" in page(client, again.key).replace("\r", "")


def test_a_seam_that_cannot_be_cut_leaves_the_picture_to_draw_it_anew(client: Client, scan: bytes) -> None:
    looked = give(client, "flat_panel", "seat.ply", scan)
    assert bench_files.work_next(here)
    flat = lay_flat(client, looked.key, seams="200 200\n260 230")
    shown = page(client, flat.key)
    assert "touches neither the edge nor another seam" in shown
    assert reverse("bench_file", args=[flat.key, "scan.bin"]) in shown


def test_too_large_a_scan_is_refused_with_a_way_out(client: Client) -> None:
    """By its head alone where it tells how many triangles there are; by its size before it is kept."""
    head = b"ply\nformat binary_little_endian 1.0\nelement vertex 2500000\nelement face 5000000\nend_header\n"
    given = give(client, "flat_panel", "seat.ply", head)
    assert bench_files.work_next(here)
    assert "has 5,000,000 triangles; 1,000,000 are the most. Let the scanning program make it coarser" in page(
        client, given.key
    )
    sent = SimpleUploadedFile("seat.ply", b"ply")
    sent.size = 500_000_000
    with pytest.raises(BadInput, match="at most 400 MB: coarser"):
        bench_files.keep(PANEL, sent, "")


def test_what_is_being_done_is_told_while_one_waits(client: Client, scan: bytes) -> None:
    looked = give(client, "flat_panel", "seat.ply", scan)
    assert bench_files.doing(looked.key) == ""
    waiting = store.take_bench_work()
    assert waiting
    tell(bench_files.folder(looked.key), "Reading the scan")
    assert "Reading the scan …" in page(client, looked.key)


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
        while bench_files.work_next(binder.there):
            pass
    finally:
        binder.end()
    assert store.bench_work(good.key).data
    assert store.bench_work(bad.key).problems

"""Pieces laid at the workbench: from what was drawn before, on hides that are kept; stopped, refused, offcuts kept."""

from __future__ import annotations

from html import unescape
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from shapely import Polygon

from tests.plan.small_cabin import CUSHION
from tests.web.conftest import LAPTOP
from trimwright.geometry.dxf import drawing, read_drawing
from trimwright.geometry.nest.hide import read_hide
from trimwright.geometry.pattern import Piece, labelled
from trimwright.web.jobs import bench_files, kept_hides, store
from trimwright.web.jobs.bench_work import OUTLINE
from trimwright.web.jobs.binder import here
from trimwright.web.jobs.models import BenchWork

pytestmark = pytest.mark.django_db

HIDE = "outline\n0 0\n1400 0\n1400 900\n0 900\nflaw\n700 450 60\nzone belly\n0 -50\n1400 -50\n1400 150\n0 150\n"
SIDE = Piece("side", ((0.0, 0.0), (300.0, 0.0), (260.0, 200.0), (0.0, 180.0)), grain=((0.0, 0.0), (100.0, 0.0)))


def dxf(name: str, *pieces: Piece) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, drawing([labelled(each) for each in pieces]).encode("ascii"))


def lay(client: Client, **sent: Any) -> BenchWork:
    response = client.post(reverse("lay_pieces"), {"seconds": "1", **sent})
    assert response.status_code == 302
    assert bench_files.work_next(here)
    return store.bench_work(response["Location"].removesuffix("/#told").rpartition("/")[2])


def page(client: Client, key: str) -> str:
    return unescape(client.get(reverse("bench_work", args=[key])).content.decode())


def test_pieces_lie_on_a_kept_hide_out_of_the_belly_with_their_files(client: Client) -> None:
    hide = kept_hides.keep("tan hide", HIDE)
    done = lay(client, pieces=[dxf("sides.dxf", SIDE, SIDE)], hide=[hide.key], not_in="belly")
    assert done.data
    assert done.data["left_over"] == []
    shown = page(client, done.key)
    assert "2 pieces" in shown
    assert "A better one may exist" in shown
    assert "Given before: sides.dxf" in shown
    for ending, begins in (("pdf", b"%PDF"), ("svg", b"<svg"), ("dxf", b"  0")):
        file = client.get(reverse("bench_file", args=[done.key, f"layout-1.{ending}"]))
        data = b"".join(file.streaming_content)  # type: ignore[attr-defined]
        assert data.lstrip().startswith(begins.strip()[:4])
    laid = read_drawing(data.decode(), "laid")
    edge, spot = Polygon([(0, 0), (1400, 0), (1400, 900), (0, 900)]), Polygon(read_hide(HIDE, "h").flaws[0])
    drawn = [Polygon(each.outline) for each in laid]
    assert all(edge.covers(each) and not each.intersects(spot) and each.bounds[1] >= 150 for each in drawn)
    assert drawn[0].distance(drawn[1]) >= 4 - 1e-3


def test_what_was_photographed_before_is_laid_on_a_roll(client: Client) -> None:
    key = "abcdefgh12345678"
    folder = bench_files.folder(key)
    folder.mkdir(parents=True)
    (folder / "pieces.dxf").write_text(drawing([labelled(SIDE)]), encoding="ascii")
    store.ask_bench_work(key, OUTLINE.id, {"name": "left door"})
    store.end_bench_work(key, {})
    assert "left door" in client.get(reverse("lay_pieces")).content.decode()
    done = lay(client, work=[key], roll="1400")
    assert done.data
    assert 0.19 < done.data["hides"][0]["long_m"] < 0.32
    assert "of the roll" in page(client, done.key)


def test_an_offcut_is_kept_laid_on_and_taken_out(client: Client) -> None:
    hide = kept_hides.keep("tan hide", HIDE)
    first = lay(client, pieces=[dxf("sides.dxf", SIDE)], hide=[hide.key])
    assert first.data
    offcut = first.data["hides"][0]["offcuts"][0]
    assert 'value="0-0">Keep as stock' in page(client, first.key)
    client.post(reverse("keep_offcut", args=[first.key]), {"offcut": "0-0"})
    assert 'value="0-0"' not in page(client, first.key)  # once is enough
    kept = next(each for each in kept_hides.kept() if each.key != hide.key)
    assert kept.name == "tan hide offcut 1"
    assert kept.area_m2 == pytest.approx(float(offcut["area"]))
    second = lay(client, again=first.key, hide=[kept.key])  # the pieces need not be given twice
    assert second.data
    assert second.data["left_over"] == []
    assert second.data["hides"][0]["name"] == kept.name
    assert b"outline" in client.get(reverse("hide_file", args=[kept.key])).content
    client.post(reverse("drop_hide"), {"key": kept.key})
    assert kept_hides.kept() == (hide,)


def test_a_piece_in_a_zone_is_kept_out_with_one_touch(client: Client) -> None:
    all_neck = "outline\n0 0\n340 0\n340 260\n0 260\nzone neck\n-50 -50\n400 -50\n400 300\n-50 300\n"
    hide = kept_hides.keep("piece of a neck", all_neck)
    first = lay(client, pieces=[dxf("side.dxf", SIDE)], hide=[hide.key])
    assert first.data
    assert first.data["hides"][0]["in_zones"] == [{"piece": "side", "zone": "neck"}]
    assert 'name="more-not_in" value="side = neck"' in page(client, first.key)
    again = lay(client, **{"again": first.key, "not_in": "", "more-not_in": "side = neck"})
    assert again.data
    assert again.data["left_over"] == ["side"]
    shown = page(client, again.key)
    assert "side = neck</textarea>" in shown
    assert "No room found for one piece" in shown


def test_the_chance_of_one_more_is_told_on_demand(client: Client) -> None:
    hide = kept_hides.keep("tan hide", HIDE)
    first = lay(client, pieces=[dxf("sides.dxf", SIDE)], hide=[hide.key])
    assert "How likely is one hide more?" in page(client, first.key)
    again = lay(client, again=first.key, chance="yes")
    assert again.data
    assert again.data["spare"]["chance"] <= 1
    assert "in 100 that one hide more is needed" in page(client, again.key)


def test_a_search_can_be_stopped_and_keeps_the_best(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    hide = kept_hides.keep("tan hide", HIDE)
    sent = {"pieces": [dxf("sides.dxf", SIDE)], "hide": [hide.key], "seconds": "100"}
    key = client.post(reverse("lay_pieces"), sent)["Location"].removesuffix("/#told").rpartition("/")[2]
    monkeypatch.setattr("trimwright.web.jobs.bench_work.laying.TOLD_S", 0.0)
    client.post(reverse("stop_work", args=[key]))
    assert bench_files.work_next(here)
    done = store.bench_work(key)
    assert done.data
    assert done.data["tries"] < 10
    assert done.data["left_over"] == []


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({}, "Choose .dxf files"),
        ({"roll": "20", "repeat": "-3"}, "is not between 50 and 5000 mm wide"),
        ({"gap": "900"}, "is not between 0 and 200 mm"),
        ({"repeat": "100"}, "is of a roll"),
        ({"seconds": "900"}, "is not between 1 and 120"),
    ],
)
def test_slips_are_told_at_once(client: Client, sent: dict[str, str], said: str) -> None:
    response = client.post(reverse("lay_pieces"), sent)
    assert response.status_code == 422
    assert said in unescape(response.content.decode())


def test_what_cannot_be_laid_names_its_entry_and_the_files_stay(client: Client) -> None:
    large = Piece("roof", ((0.0, 0.0), (3000.0, 0.0), (3000.0, 900.0), (0.0, 900.0)))
    crossed = SimpleUploadedFile("bad.txt", b"outline\n0 0\n1400 900\n1400 0\n0 950\n")
    away = SimpleUploadedFile("away.txt", HIDE.encode() + b"flaw\n5000 5000 40\n")
    bad = lay(client, pieces=[dxf("roof.dxf", large)], hides=[crossed, away])
    assert "Given before: roof.dxf" in (shown := page(client, bad.key))
    assert "Hide 'bad' › outline" in shown
    assert "Hide 'away' › flaw 2" in shown
    assert "lies outside the hide" in shown
    good = SimpleUploadedFile("good.txt", HIDE.encode())
    too_large = page(client, lay(client, again=bad.key, hides=[good]).key)
    assert "Piece 'roof'" in too_large
    assert "larger than any hide" in too_large
    zone = page(
        client, lay(client, again=bad.key, hides=[SimpleUploadedFile("good.txt", HIDE.encode())], not_in="neck").key
    )
    assert "names no zone of a hide. Zones: belly." in zone


def test_a_hide_is_kept_changed_and_refused_with_all_that_is_wrong(client: Client, own_folder: Path) -> None:
    response = client.post(reverse("hides"), {"name": "calf", "text": HIDE})
    assert response.status_code == 302
    (hide,) = kept_hides.kept()
    assert hide.area_m2 == pytest.approx(1.26, abs=0.01)
    assert hide.zones == ("belly",)
    client.post(reverse("hides"), {"key": hide.key, "name": "calf, cut", "text": HIDE})
    assert [each.name for each in kept_hides.kept()] == ["calf, cut"]
    wrong = client.post(reverse("hides"), {"name": "", "text": "outline\n0 0\n9 9\n9 0\n0 9.5\n"})
    assert wrong.status_code == 422
    shown = unescape(wrong.content.decode())
    assert "Say what you will know it by." in shown
    assert "crosses itself" in shown
    assert "9 9" in shown
    assert client.get(reverse("hides") + f"?key={hide.key}").status_code == 200
    assert client.get(reverse("hide_file", args=["abcdefghijkl"])).status_code == 404
    assert list((own_folder / "hides").iterdir())


def test_what_the_pieces_take_is_kept_in_a_job_for_the_parts_chosen(client: Client, key: str) -> None:
    hide = kept_hides.keep("tan hide", HIDE)
    done = lay(client, pieces=[dxf("seat.dxf", SIDE, SIDE), dxf("trial.dxf", SIDE)], hide=[hide.key])
    address = reverse("bench_work", args=[done.key])
    assert "What are they cut for?" in page(client, done.key)
    shown = unescape(client.get(address, {"job": key}).content.decode())
    assert f'value="{CUSHION}=leather_recover"' in shown
    assert "headliner" not in shown  # lining comes by the metre, off no hide
    refused = client.post(reverse("note_cut", args=[done.key]), {"job": key, "for-0": f"{CUSHION}=leather_recover"})
    assert "trial.dxf" in client.get(refused["Location"]).content.decode()
    chosen = dict.fromkeys(("for-0", "for-1"), f"{CUSHION}=leather_recover")
    noted = client.post(reverse("note_cut", args=[done.key]), {"job": key, **chosen})
    assert "it buys by these pieces" in client.get(noted["Location"]).content.decode()
    job = store.job_at(key, store.record(key).revision)
    cut = next(each.cutting for each in job.parts if each.id == CUSHION)
    assert cut is not None
    assert cut.pieces_mm2 == pytest.approx(3 * Polygon(SIDE.outline).area, abs=1)
    edge, spot = Polygon([(0, 0), (1400, 0), (1400, 900), (0, 900)]), Polygon(read_hide(HIDE, "h").flaws[0])
    assert cut.taken == pytest.approx(edge.buffer(-12).difference(spot.buffer(4)).area / 1e6, abs=1e-4)
    told = unescape(client.get(reverse("history", args=[key])).content.decode())
    assert "re-cover in leather from own pattern: " in told  # by their names, not their ids
    assert "leather_recover" not in told
    store.revert(key, store.record(key).revision, LAPTOP)
    assert all(each.cutting is None for each in store.job_at(key, store.record(key).revision).parts)

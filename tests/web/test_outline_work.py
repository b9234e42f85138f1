"""A photographed part at the workbench: its points changed by hand are kept, drawn, refused unharmed, and cut."""

from __future__ import annotations

import io
import json
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from ezdxf.filemanagement import read as read_dxf
from PIL import Image

from tests.geometry.photographed import close, jpeg
from tests.web.test_bench_work import give, key_in, page, what_came
from trimwright.web.jobs import bench_files, store
from trimwright.web.jobs.binder import here
from trimwright.web.jobs.models import BenchWork, State

pytestmark = pytest.mark.django_db

TYPED = {"name": "Card", "bars": "260x190"}


@pytest.fixture(scope="module")
def shot() -> bytes:
    return jpeg(close().photo())


@pytest.fixture
def read(client: Client, shot: bytes) -> str:
    """The key of an outline that was read."""
    work = give(client, "outline_photo", "card.jpg", shot, **TYPED)
    assert bench_files.work_next(here)
    return work.key


def line(client: Client, key: str, moves: str, **keep: str) -> tuple[int, dict[str, list[str]]]:
    response = client.post(reverse("outline_line", args=[key]), {"moves": moves, **keep})
    return response.status_code, json.loads(response.content)


def once_more(client: Client, key: str, moves: str, **typed: str) -> tuple[int, str]:
    """What is said, or where it leads."""
    response = client.post(reverse("outline_photo"), {"again": key, **TYPED, "moves": moves, **typed})
    return response.status_code, response.headers.get("Location") or unescape(response.content.decode())


def test_what_is_changed_is_drawn_kept_with_the_work_and_cut(client: Client, read: str) -> None:
    assert "Nine times in ten no point is out by more than 0." in page(client, read)
    nodes = what_came(read)["read"]["nodes"]
    x, y = nodes[1][:2]
    moves = f"1+ {x / 2:.1f} {y - 2:.1f}\n2 {x + 1:.1f} {y - 3:.1f}"
    assert line(client, read, moves)[0] == 200
    assert bench_files.draft(read) is None
    assert len(line(client, read, moves, keep="yes")[1]["nodes"]) == len(nodes) + 1
    assert moves in page(Client(), read), "another browser goes on where this one was left"
    status, address = once_more(client, read, moves, notches="7", mirror="yes")
    assert status == 302
    assert bench_files.work_next(here)
    shown = page(client, key_in(address))
    assert "2 points were moved or added by hand: they are as near as you put them." in shown
    assert "Card mirrored: 26" in shown
    drawing = client.get(reverse("bench_file", args=[key_in(address), "pieces.dxf"]))
    text = b"".join(drawing.streaming_content).decode()  # type: ignore[attr-defined]
    blocks = [each for each in read_dxf(io.StringIO(text)).blocks if each.query("POLYLINE LWPOLYLINE")]
    assert len(blocks) == 2
    notches = [each.query("LINE[layer=='4']").first.dxf.start for each in blocks]
    assert notches[0].x == pytest.approx(nodes[6][0], abs=0.5)  # drawn from its left; the sixth lies 9 mm from it


def test_an_outline_that_crosses_itself_is_refused_and_can_be_put_right_on_its_picture(
    client: Client, read: str
) -> None:
    status, told = line(client, read, "2 46 900", keep="yes")
    assert status == 422
    assert told["wrong"][0].startswith("The list of changes makes the outline cross itself near point 2")
    status, shown = once_more(client, read, "2 46 900", grain="90")
    assert status == 422
    assert "makes the outline cross itself near point 2" in shown
    assert reverse("outline_line", args=[read]) in shown
    assert "2 46 900</textarea>" in shown
    assert f'name="again" value="{read}"' in shown
    assert BenchWork.objects.count() == 1
    assert once_more(client, read, "2 46 6", grain="90")[0] == 302


def test_changes_are_of_the_points_as_they_were_read(client: Client, read: str, shot: bytes) -> None:
    """With another thickness or photo there are other points, and the list would move the wrong ones."""
    said = "is about the points as they were read before"
    assert said in once_more(client, read, "2 46 6", thickness="3")[1]
    sent = {"file": SimpleUploadedFile("card.jpg", shot), "again": read, **TYPED, "moves": "2 46 6"}
    assert said in unescape(client.post(reverse("outline_photo"), sent).content.decode())
    assert once_more(client, read, "", thickness="3")[0] == 302


def test_all_that_is_wrong_with_the_list_is_told_beside_it(client: Client, read: str) -> None:
    shown = once_more(client, read, "2 46\n99 1 1")[1]
    assert "<q>line 1 2 46</q> is no change." in shown
    assert "<q>line 2 99</q> is no point of the outline." in shown


def test_a_photo_without_strips_says_how_to_take_it_again(client: Client) -> None:
    held = io.BytesIO()
    Image.new("RGB", (3000, 2200), (120, 110, 90)).save(held, "JPEG")
    work = give(client, "outline_photo", "card.jpg", held.getvalue())
    assert bench_files.work_next(here)
    assert store.bench_work(work.key).state == State.FAILED
    assert "shows no strips. Print them, lay them flat round the part, print side up" in page(client, work.key)
    assert 'capture="environment"' in page(client, work.key)

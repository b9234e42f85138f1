"""Photos come in as pictures and nothing else: drawn anew, the right way up, without the place they were taken."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import ExifTags, Image

from tests.plan.small_cabin import CUSHION
from trimwright.web.jobs import photos, store

pytestmark = pytest.mark.django_db
TRAILER = b"<script>alert(1)</script>"


def camera_photo(size: tuple[int, int] = (4000, 3000), *, turned: int = 1, kind: str = "JPEG") -> bytes:
    """A photo as a phone makes it: red above, blue below as the sensor lay, with a place and a turn in its EXIF."""
    picture = Image.new("RGB", size, "red")
    picture.paste("blue", (0, size[1] // 2, size[0], size[1]))
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = turned
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (52.0, 30.0, 0.0)
    into = io.BytesIO()
    picture.save(into, kind, exif=exif)
    return into.getvalue() + TRAILER


def png_that_says(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it is so large (PNG specification, third edition, sections 5.3 and 11.2)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")


def send(client: Client, key: str, data: bytes, *, part: str = CUSHION, edit_id: str | None = None) -> Any:
    sent = {"photo": SimpleUploadedFile("photo.jpg", data), "part": part, "edit_id": edit_id or uuid4().hex}
    return client.post(reverse("take_photo", args=[key]), sent, headers={"accept": "application/json"})


def shown(client: Client, url: str) -> bytes:
    answer: Any = client.get(url)
    return b"".join(answer.streaming_content)


def test_a_photo_is_drawn_anew_the_right_way_up_without_its_place(client: Client, key: str) -> None:
    """Orientation 6 of Exif 2.32: the sensor's top is the picture's right."""
    told = send(client, key, camera_photo(turned=6)).json()
    answer = client.get(told["url"])
    assert (answer["Content-Type"], answer["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
    data = shown(client, told["url"])
    assert TRAILER not in data
    with Image.open(io.BytesIO(data)) as picture:
        assert picture.size == (1920, 2560)
        assert not picture.getexif()
        left: Any = picture.getpixel((200, 1280))
        right: Any = picture.getpixel((1700, 1280))
    assert left[2] > 200 > left[0]
    assert right[0] > 200 > right[2]
    with Image.open(io.BytesIO(shown(client, told["small"]))) as small:
        assert max(small.size) == photos.SMALL


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_other_formats_of_cameras_become_jpegs(client: Client, key: str, kind: str) -> None:
    told = send(client, key, camera_photo((64, 48), kind=kind)).json()
    assert photos.is_ours(shown(client, told["url"])) == (64, 48)


def test_what_is_clear_becomes_white(client: Client, key: str) -> None:
    into = io.BytesIO()
    Image.new("LA", (8, 8), (0, 0)).save(into, "PNG")
    told = send(client, key, into.getvalue()).json()
    with Image.open(io.BytesIO(shown(client, told["url"]))) as picture:
        assert picture.getpixel((4, 4)) == (255, 255, 255)


def test_a_photo_of_a_part_stands_with_the_part_and_in_the_history(client: Client, key: str) -> None:
    told = send(client, key, camera_photo((64, 48))).json()
    assert store.job_at(key, told["revision"]).part(CUSHION).photos == (told["photo"],)
    assert store.history(key)[0].line.startswith("Front cushion cover, driver's: photos + ")


def test_a_photo_sent_twice_is_there_once(client: Client, key: str) -> None:
    for _time in range(2):
        send(client, key, camera_photo((64, 48)), edit_id="the-same-upload")
    assert [each.name for each in store.photos(key)] == ["the-same-upload"]
    assert store.record(key).revision == 2


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (png_that_says(10_000, 10_000), "has more than 80 million pixels."),
        (png_that_says(60_000, 60_000), "has more than 80 million pixels."),
        (b"MZ\x90\x00\x03\x00\x00\x00" * 100, "is no picture that can be read."),
        (b"\x7fELF\x02\x01\x01" * 100, "is no picture that can be read."),
        (b"GIF89a" + b"\x00" * 100, "is no picture that can be read."),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", "is no picture that can be read."),
        (camera_photo((64, 48))[:300], "is no picture that can be read."),
        (png_that_says(64, 64), "is no picture that can be read."),
        (b"", "is no picture that can be read."),
    ],
    ids=["100 megapixels", "3,600", "an executable", "another", "a GIF", "an SVG", "cut off", "no pixels", "nothing"],
)
@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
def test_what_is_no_photo_is_refused_in_words(client: Client, key: str, data: bytes, told: str) -> None:
    answer = send(client, key, data)
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["what"] == told
    assert not store.photos(key)
    assert store.record(key).revision == 1


@pytest.mark.parametrize("edit_id", ["../../../etc/x", "a/b", "short", "UPPER-CASE-IS-NOT", "a" * 41, "....", " " * 8])
def test_no_name_leads_out_of_the_folder(client: Client, key: str, edit_id: str) -> None:
    assert send(client, key, camera_photo((64, 48)), edit_id=edit_id).status_code == 422
    assert not store.photos(key)


def test_a_photo_of_no_part_is_refused(client: Client, key: str) -> None:
    assert send(client, key, camera_photo((64, 48)), part="nothing").status_code == 422


def test_a_photo_of_another_job_is_not_shown(client: Client, key: str) -> None:
    from tests.plan.small_cabin import small_job
    from tests.web.conftest import LAPTOP

    send(client, key, camera_photo((64, 48)), edit_id="the-same-upload")
    other = store.start_job(small_job(), LAPTOP).key
    assert client.get(reverse("photo", args=[other, "the-same-upload"])).status_code == 404

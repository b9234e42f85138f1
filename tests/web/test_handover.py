"""The hand-over: pairs taken up and laid over each other beside the pages, the book, its signature, waste, a visit."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image, ImageDraw
from pypdf import PdfReader

from tests.plan.small_cabin import VISOR
from tests.web.conftest import LAPTOP
from tests.web.decided import newest
from tests.web.test_ending import YES, events
from tests.web.test_rebuild import begun, done, send
from trimwright.job.events import Disposed, OwnersBook, Pair, Visited
from trimwright.web.jobs import store
from trimwright.web.jobs.binder import book_file, over_file, work_next
from trimwright.web.jobs.photos import keep_photo

pytestmark = pytest.mark.django_db


def cabin(shift: int, seed: int = 1) -> io.BytesIO:
    """A picture full of shapes, moved to the right by so many pixels."""
    import random

    chance = random.Random(seed)
    picture = Image.new("RGB", (800, 600), "white")
    draw = ImageDraw.Draw(picture)
    for _ in range(500):
        x, y, size = chance.randrange(-40, 800), chance.randrange(600), chance.randrange(5, 40)
        colour = tuple(chance.randrange(256) for _channel in range(3))
        draw.rectangle((x + shift, y, x + shift + size, y + size // 2 + 3), fill=colour)
    into = io.BytesIO()
    picture.save(into, "JPEG", quality=92)
    into.seek(0)
    return into


def with_photos(key: str, *pictures: io.BytesIO, part: str = VISOR) -> list[str]:
    names = [f"photo-{part[:4]}-{number:04}".lower() for number in range(len(pictures))]
    for name, picture in zip(names, pictures, strict=True):
        keep_photo(key, name, picture, part=part, by=LAPTOP)
    return names


def page(client: Client, key: str, **asked: str) -> str:
    return client.get(reverse("handover", args=[key]), asked).content.decode()


def test_first_and_last_photo_are_suggested_taken_up_and_laid(
    client: Client, django_assert_max_num_queries: Any
) -> None:
    key = begun(done(VISOR))
    first, _middle, last = with_photos(key, cabin(0), cabin(0, seed=2), cabin(20))
    assert "Pairs to take up" in page(client, key)
    send(client, key, "take_pairs", of=VISOR)
    [made] = events(key, Pair)
    assert (made.before, made.after, made.part) == (first, last, VISOR)
    told = page(client, key)
    assert "Being laid over each other" in told
    assert "Pairs to take up" not in told
    assert work_next()
    assert not work_next()
    assert over_file(key, first, last).is_file()
    with django_assert_max_num_queries(15):
        told = page(client, key)
    laid = reverse("over", args=[key, first, last])
    assert f'data-over="{laid}"' in told
    answer: Any = client.get(laid)
    with Image.open(io.BytesIO(b"".join(answer.streaming_content))) as drawn:
        assert drawn.size == (800, 600)
    assert "immutable" in answer["Cache-Control"]


def test_what_shares_nothing_stands_side_by_side_with_a_word(client: Client) -> None:
    key = begun()
    before, after = with_photos(key, cabin(0), cabin(0, seed=7))
    sent = send(client, key, "pair", of=VISOR, before=before, after=after, note="from the door")
    assert sent.status_code == 302
    assert work_next()
    told = page(client, key)
    assert "side by side: too little" in told
    assert "data-over" not in told
    assert "from the door" in told
    [made] = events(key, Pair)
    send(client, key, "part_pair", made.id)
    assert not events(key, Pair)


def test_one_photo_is_no_pair(client: Client) -> None:
    key = begun()
    before, _after = with_photos(key, cabin(0), cabin(9))
    refused = send(client, key, "pair", of=VISOR, before=before, after=before)
    assert refused.status_code == 422
    assert "Choose two different photos." in refused.content.decode()
    assert not events(key, Pair)
    assert send(client, key, "pair", of="nothing", before=before, after=before).status_code == 422


def test_a_photo_that_is_gone_is_told(client: Client) -> None:
    key = begun({"kind": "pair", "part": VISOR, "before": "long-gone", "after": "never-there"})
    page(client, key)
    assert work_next()
    assert "is not here, or can’t be read" in page(client, key)


def test_what_keeps_the_car_stands_first_with_its_way_out(client: Client) -> None:
    key = begun()
    told = page(client, key)
    assert "keep the car here" in told
    assert reverse("final_tests", args=[key]) in told


def test_the_book_is_written_put_right_signed_and_then_stays(client: Client) -> None:
    key = begun(done(VISOR))
    assert "Sewing 24 months" in page(client, key)
    said = {"warranty": "A year on sewing.", "care": "", "first_visit": "2027-01-10", "next_visit": "2026-12-24"}
    send(client, key, "owners_book", **said)
    [ours] = events(key, OwnersBook)
    assert [str(each) for each in ours.follow_ups] == ["2026-12-24", "2027-01-10"]
    assert not ours.shows_money
    assert "Spent in all" not in page(client, key)
    send(client, key, "owners_book", **said | {"shows_money": "on"})
    [ours] = events(key, OwnersBook)
    assert ours.shows_money
    assert "Spent in all" in page(client, key)
    assert send(client, key, "book_yes", **YES | {"name": ""}).status_code == 422
    send(client, key, "book_yes", edit_id="yes-1", **YES)
    [ours] = events(key, OwnersBook)
    assert ours.yes is not None
    assert "Signed by Kim" in page(client, key)
    send(client, key, "owners_book", edit_id="anew-1", **said | {"warranty": "Two years."})
    kept, anew = events(key, OwnersBook)
    assert (kept.warranty, kept.yes is not None, anew.yes) == ("A year on sewing.", True, None)


def test_a_day_that_is_none_is_refused_and_kept(client: Client) -> None:
    key = begun()
    refused = send(client, key, "owners_book", warranty="A year.", first_visit="soon")
    assert refused.status_code == 422
    assert 'value="soon"' in refused.content.decode()
    assert not events(key, OwnersBook)


def test_waste_is_noted_and_told(client: Client) -> None:
    key = begun()
    send(client, key, "waste", what="dirty thinner", amount="2 L", how="to the depot, with a slip")
    [gone] = events(key, Disposed)
    assert (gone.what, gone.amount) == ("dirty thinner", "2 L")
    assert "Dirty thinner, 2 L" in page(client, key)


def test_the_book_is_printed_beside_the_page(client: Client) -> None:
    key = begun(done(VISOR))
    with_photos(key, cabin(0), cabin(20))
    send(client, key, "take_pairs", of=VISOR)
    assert client.get(reverse("book_pdf", args=[key])).status_code == 404
    send(client, key, "print_book")
    assert "Being printed" in page(client, key)
    while work_next():
        pass
    assert "Being printed" not in page(client, key)
    answer: Any = client.get(reverse("book_pdf", args=[key]))
    printed = PdfReader(io.BytesIO(b"".join(answer.streaming_content)))
    assert sum(len(each.images) for each in printed.pages) == 2
    assert "Sun visor" in "".join(each.extract_text() for each in printed.pages)
    send(client, key, "waste", what="rags", how="in the steel bin, then the depot")
    assert "print it again" in page(client, key)
    assert book_file(key).is_file()


def test_a_visit_notes_what_was_looked_at_and_nothing_else(client: Client, django_assert_max_num_queries: Any) -> None:
    key = begun(done(VISOR))
    with django_assert_max_num_queries(15):
        told = client.get(reverse("visit", args=[key])).content.decode()
    assert re.findall(r'name="([^"]+)-held"', told)[:1] == [VISOR]
    send(client, key, "visit")
    assert not events(key, Visited)
    refused = send(client, key, "visit", **{f"{VISOR}-moved": "edge lifted"})
    assert refused.status_code == 422
    assert "Say whether it has held." in refused.content.decode()
    assert 'value="edge lifted"' in refused.content.decode()
    send(client, key, "visit", **{f"{VISOR}-held": "no", f"{VISOR}-moved": "edge lifted", f"{VISOR}-finish": "6"})
    [seen] = events(key, Visited)
    assert (seen.part, seen.held, seen.moved, seen.finish) == (VISOR, False, "edge lifted", 6)
    assert store.record(key).revision == len(newest(key).events)

"""How long the server takes for a page of a full shop, how often it asks the database, how long an edit takes to store.

A job of 110 parts with 300 photos, 200 revisions, its plan and its calendar, on SQLite in a folder of its own. Every
page that needs no more than the job's key is asked for, and a task's and a step's, as often as told; bars: 150 ms at
the 95th percentile, 15 queries, and 50 ms for storing an edit of a finish. The processor's time stands beside the
clock's, for a machine on which other things run.

    python benchmarks/pages.py [TIMES]
"""

from __future__ import annotations

import io
import logging
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import quantiles
from typing import Any

PARTS, PHOTOS, REVISIONS = 110, 300, 200
BAR_MS, BAR_QUERIES, BAR_EDIT_MS = 150, 15, 50


def main(times: int) -> None:
    """Fill the shop, time the pages and the edits, print both."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["TRIMWRIGHT_DATA"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "trimwright.web.settings"
        import django
        from django.core.management import call_command

        from trimwright.web.folder import prepare
        from trimwright.web.serving import gather_static, leave_what_is_loaded

        prepare(Path(folder))
        django.setup()
        logging.disable(logging.WARNING)  # pages that only take posts are asked as well, and say so
        call_command("migrate", verbosity=0)
        gather_static()
        key = filled()
        leave_what_is_loaded()
        over = [line for line in pages(key, times) if line]
        over += [line for line in edits(key, times) if line]
    print("\n".join(over) or "every page and the edits are inside the bars")


def filled() -> str:
    """A shop as full as the bars say; the job's key."""
    from PIL import Image

    from trimwright.demo import demo_job
    from trimwright.job.edits import SetField
    from trimwright.web.jobs import photos, store
    from trimwright.web.jobs.calendars import CALENDAR
    from trimwright.web.jobs.devices import Device
    from trimwright.web.jobs.maker import Maker
    from trimwright.web.jobs.planner import answer_next, make_next

    device, job = Device("bench", "bench"), demo_job()
    more = [job.parts[number].model_copy(update={"id": f"more-{number}"}) for number in range(PARTS - len(job.parts))]
    job = job.model_copy(update={"parts": (*job.parts, *more)})
    key = store.start_job(job, device).key
    picture = io.BytesIO()
    Image.new("RGB", (640, 480), "grey").save(picture, "JPEG")
    for number in range(PHOTOS):
        picture.seek(0)
        part = job.parts[number % PARTS].id
        photos.keep_photo(key, f"photo-{number:05}", picture, part=part, by=device)
    while (number := store.record(key).revision) < REVISIONS:
        finish = SetField(path=("parts", job.parts[number % PARTS].id, "finish_now"), value=number % 10)
        if not store.edit_job(key, finish, device, seen=number).stored:
            store.edit_job(key, finish.model_copy(update={"value": 10}), device, seen=number)
    maker = Maker()
    make_next(maker)
    store.ask(store.ask_for_plan(store.record(key)).pk, CALENDAR, urgent=True)
    answer_next(maker)
    maker.end()
    return key


def addresses(key: str) -> Iterator[tuple[str, str]]:
    """Every page that needs nothing, or the job's key alone; a task at the bench and a step on the way in."""
    from django.urls import NoReverseMatch, get_resolver, reverse

    from trimwright.web.jobs import benching, calendars, store

    names = sorted(name for name in get_resolver().reverse_dict if isinstance(name, str))
    for name in names:
        for arguments in ([], [key]):
            try:
                yield name, reverse(name, args=arguments)
            except NoReverseMatch:
                continue
    calendar = store.newest_calendar(key)
    assert calendar is not None
    assert calendar.data is not None
    job = store.job_at(key, store.record(key).revision)
    tasks = calendars.calendar_now(calendar.data, job).bench.tasks
    at_bench = next(each.id for each in tasks if each.kind == "bench")
    coming_off = next(each.id for each in tasks if each.id.startswith("off:"))
    yield "bench_task", reverse("bench_task", args=[key, benching.step_of(at_bench)])
    yield "strip_step", reverse("strip_step", args=[key, coming_off.removeprefix("off:")])


def pages(key: str, times: int) -> Iterator[str]:
    """Time every page; a line for each that is over the bars."""
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    client = Client(headers={"host": "localhost", "accept-encoding": "gzip"})
    print(f"{'page':<24}{'status':>7}{'kB':>7}{'median ms':>11}{'95th ms':>9}{'processor':>11}{'queries':>9}")
    for name, address in addresses(key):
        with CaptureQueriesContext(connection) as asked:
            answer: Any = client.get(address)
        queries = len(asked)  # counted now: the next request starts anew
        if answer.status_code != 200 or answer.streaming:
            continue
        middle, high, own = timed(lambda address=address: client.get(address), times)  # type: ignore[misc]
        size = len(answer.content) / 1000
        print(f"{name:<24}{answer.status_code:>7}{size:>7.1f}{middle:>11.1f}{high:>9.1f}{own:>11.1f}{queries:>9}")
        if high > BAR_MS or queries > BAR_QUERIES:
            yield f"over the bar: {name}, {high:.0f} ms, {queries} queries"


def edits(key: str, times: int) -> Iterator[str]:
    """Time storing an edit of a finish, the database's own waiting for the disk inside."""
    from trimwright.job.edits import SetField
    from trimwright.web.jobs import store
    from trimwright.web.jobs.devices import Device

    device, row = Device("bench", "bench"), store.record(key)
    part = store.job_at(key, row.revision).parts[0].id
    numbers = iter(range(10**6))

    def edit() -> None:
        number = next(numbers)
        finish = SetField(path=("parts", part, "finish_now"), value=number % 2)
        store.edit_job(key, finish, device, seen=store.record(key).revision, edit_id=f"bench-{number}")

    middle, high, own = timed(edit, times)
    print(f"{'a finish edit':<24}{'':>14}{middle:>11.1f}{high:>9.1f}{own:>11.1f}")
    if high > BAR_EDIT_MS:
        yield f"over the bar: a finish edit, {high:.0f} ms"


def timed(do: Callable[[], object], times: int) -> tuple[float, float, float]:
    """Median and 95th percentile by the clock, and the processor's time on average [ms]."""
    took = []
    busy = time.process_time()
    for _time in range(times):
        began = time.perf_counter()
        do()
        took.append((time.perf_counter() - began) * 1000)
    cuts = quantiles(took, n=20)
    return cuts[9], cuts[18], (time.process_time() - busy) * 1000 / times


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)

"""How long the hand-over book takes with 120 photos, and how large it is: `python benchmarks/hand_over.py [PHOTOS]`.

The photos are made first: as large as the shop keeps them, full of shapes and noise, which a JPEG packs worse than a
cabin. The time of the plan is not counted. Bars: 10 s and 25 MB for 120 photos.
"""

from __future__ import annotations

import io
import random
import sys
from datetime import UTC, datetime
from time import perf_counter

from PIL import Image, ImageDraw

from trimwright.demo import demo_job
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.papers import hand_over_book_pdf
from trimwright.plan.plan import make_plan

MADE = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
SIZE = (2560, 1920)
BAR_S, BAR_MB = 10.0, 25.0


def main(photos: int) -> None:
    """Print seconds and megabytes, and whether they are inside the bars."""
    job = demo_job()
    raw = job.model_dump(mode="json")
    for number in range(photos // 2):
        part = job.parts[number % len(job.parts)].id
        event = {"kind": "pair", "id": f"pair-{number}", "at": MADE.isoformat(), "part": part}
        raw["events"].append({**event, "before": f"before-{number}", "after": f"after-{number}"})
    plan = make_plan(Job.from_plain(raw), load())
    held = {f"{side}-{number}": photo(number) for number in range(photos // 2) for side in ("before", "after")}
    kept = sum(map(len, held.values())) / 1e6
    began = perf_counter()
    printed = hand_over_book_pdf(plan, MADE, photos=held)
    took, size = perf_counter() - began, len(printed) / 1e6
    inside = "inside the bars" if took <= BAR_S and size <= BAR_MB else "OVER THE BARS"
    print(f"{photos} photos of {kept:.0f} MB: {took:.1f} s, {size:.1f} MB, {inside}")


def photo(seed: int) -> bytes:
    """A picture of shapes under noise, such as the shop keeps."""
    chance = random.Random(seed)
    picture = Image.effect_noise(SIZE, 40).convert("RGB")
    draw = ImageDraw.Draw(picture)
    for _ in range(200):
        x, y, size = chance.randrange(SIZE[0]), chance.randrange(SIZE[1]), chance.randrange(20, 300)
        colour = (chance.randrange(256), chance.randrange(256), chance.randrange(256))
        draw.rectangle((x, y, x + size, y + size // 2), fill=colour)
    into = io.BytesIO()
    picture.save(into, "JPEG", quality=85)
    return into.getvalue()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 120)

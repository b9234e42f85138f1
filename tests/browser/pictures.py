"""A picture of every screen of the demo job, on a phone and on a table, light and dark: `make pictures`.

Not a test: it is for looking. A screen that needs more than the job's key, such as one part's, is named in `MORE`.
"""

from __future__ import annotations

import os
import re
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.browser.chromium import CHROMIUM, PHONE, QUIET, TABLE
from tests.web.test_serving import page as text_of
from tests.web.test_serving import served

MORE: dict[str, str] = {
    "survey_part": "/jobs/KEY/walk-round/parts/fseat_cushion_cover.d/",
    "look": "/jobs/KEY/walk-round/looks/carpet_edge/",
    "verdict_part": "/jobs/KEY/verdicts/parts/wheel_rim_leather/",
    "strip_step": "/jobs/KEY/strip-down/steps/fseat_off.driver/",
    "strip_battery": "/jobs/KEY/strip-down/steps/battery_off/",
    "bench_task": "/jobs/KEY/bench/steps/line:photographs~before/",
    "bench_air": "/jobs/KEY/bench/steps/air/",
    "facts_table": "/facts/treatments/",
    "fact": "/facts/treatments/wheel_rewrap/",
    "bench_wrap": "/workbench/wrap/?ask=1&outside=385&grips=94&spokes=90%3D32x18%2C+180%3D40x14%2C+270%3D32x18",
    "bench_tin": "/workbench/air-tin/?ask=1&tin=clear_can",
    "bench_mix": "/workbench/coats-mix/?job=KEY&part=fseat_frame.d",
    "bench_bolt": "/workbench/torque/?ask=1&torque=46+N·m&thread=M8&class=8.8&holds=trim",
}
"""Screens by name with their address, `KEY` for the job's."""
APART: dict[str, str] = {
    "rebuild_apart": "/jobs/KEY/rebuild/",
    "rebuild_step": "/jobs/KEY/rebuild/steps/back:sill_plate.driver/",
    "rebuild_torque": "/jobs/KEY/rebuild/steps/back:fseat_off.driver/",
    "rebuild_wait": "/jobs/KEY/rebuild/steps/back:sun_visor.driver/",
    "rebuild_bags_apart": "/jobs/KEY/rebuild/bags/",
    "snags_apart": "/jobs/KEY/rebuild/snags/",
    "hand_over_apart": "/jobs/KEY/rebuild/hand-over/",
    "handover_apart": "/jobs/KEY/handover/?of=visor",
    "visit_apart": "/jobs/KEY/handover/visit/",
}
"""Screens of a cabin that is apart, likewise."""
PLAN_S = 60
"""The demo's plan is made by then."""
SETTLE_MS = 400
"""Fonts and pictures are there by then."""


def main(folder: Path) -> None:
    """Take them all."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as data, served(Path(data)) as (port, _process), sync_playwright() as play:
        # the same shop is opened here too; Playwright keeps an event loop running, which Django would mind
        os.environ |= {"DJANGO_SETTINGS_MODULE": "trimwright.web.settings", "TRIMWRIGHT_DATA": data}
        os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
        base = f"http://127.0.0.1:{port}"
        key = re.findall(r"/jobs/(\w+)/", text_of(port)[0])[0]
        wait_for_the_plan(port, key)
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        for width, height in (PHONE, TABLE):
            for scheme in ("light", "dark"):
                context = browser.new_context(
                    viewport={"width": width, "height": height},
                    color_scheme=scheme,
                    locale="en-GB",
                    has_touch=(width, height) == PHONE,
                )
                page = context.new_page()
                for name, address in [*screens(key), *apart()]:
                    take(page, base + address, folder / f"{name}-{width}-{scheme}.png")
                context.close()
        browser.close()


def screens(key: str) -> list[tuple[str, str]]:
    """Every page that needs nothing or the job's key alone, and those of `MORE`."""
    import django

    django.setup()
    from pages import addresses

    return [*addresses(key), *((name, address.replace("KEY", key)) for name, address in MORE.items())]


@cache
def apart() -> list[tuple[str, str]]:
    """The small cabin in the same shop, apart: a sill plate that may go back, a seat, a visor whose glue is not dry."""
    import django

    django.setup()
    from tests.plan.small_cabin import CUSHION, VISOR
    from tests.web.test_handover import cabin, with_photos
    from tests.web.test_rebuild import SEAT, VISOR_STEP, done, opened, ready_sill, then
    from trimwright.web.jobs import store

    last = (datetime.now(UTC) - timedelta(hours=3)).isoformat()
    more = (
        opened(SEAT),
        opened(VISOR_STEP),
        done(VISOR) | {"at": last},
        {"kind": "snag", "what": "visor drops over bumps"},
    )
    key = ready_sill(*more)
    # a pair that can be laid over each other, and one that stands side by side
    with_photos(key, cabin(0), cabin(20))
    with_photos(key, cabin(0, seed=3), cabin(0, seed=4), part=CUSHION)
    for part in (VISOR, CUSHION):
        before, after = store.photos_of(key, part)[part]
        then(key, {"kind": "pair", "part": part, "before": before, "after": after}, timedelta())
    return [(name, address.replace("KEY", key)) for name, address in APART.items()]


def wait_for_the_plan(port: int, key: str) -> None:
    """Until the strip no longer asks."""
    for _try in range(PLAN_S):
        if "every 1s" not in text_of(port, f"/jobs/{key}/")[0]:
            return
        time.sleep(1)


def take(page: Page, address: str, into: Path) -> None:
    """One picture of the whole page; addresses that are no page give none."""
    answer = page.request.get(address)
    if (
        answer.url != address
        or answer.status != 200
        or not answer.headers.get("content-type", "").startswith("text/html")
    ):
        return
    if "<html" not in answer.text():
        return
    page.goto(address)
    page.wait_for_timeout(SETTLE_MS)
    page.screenshot(path=into, full_page=True)


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "out/pictures"))

"""Thread in a seam against textile teaching pages; the published ratio tables are left out, being from memory.

Common practice, no source: three rows in a top-stitched seam, stitches of 3 to 7 mm in trim.
"""

from __future__ import annotations

import pytest

from tests.published.rows import rows
from trimwright.craft.thread import (
    NEEDLE_SHARE,
    TOP_STITCHED_ROWS,
    WASTE,
    Stitch,
    needle_and_bobbin_m,
    thread_m,
    thread_per_m,
)
from trimwright.facts import load

STITCHES: dict[str, Stitch] = {"101": "101", "301": "301", "401": "401"}


@pytest.mark.parametrize("row", rows("thread"), ids=lambda row: f"{row['stitch']} {row['stack']} {row['length_unit']}")
def test_a_seam_takes_as_much_thread_as_published(row: dict[str, str]) -> None:
    """A ratio of lengths, so inches serve as well as millimetres."""
    found = thread_per_m(float(row["stack"]), 1 / float(row["stitches"]), STITCHES[row["stitch"]])
    assert found == pytest.approx(float(row["value"]), abs=float(row["within"]))


def test_the_garment_ratio_of_two_and_a_half_is_a_thin_stack() -> None:
    """Two pages print 2.5 for lockstitch at 7 stitches a cm: the path through 0.36 mm of cloth. Trim takes more."""
    assert thread_per_m(0.25 * 10 / 7, 10 / 7) == pytest.approx(2.5)
    assert thread_per_m(3, 5) > 2.5


def test_thread_unpicked_from_a_chain_stitch() -> None:
    """An apparel page unpicks a 401 seam: of 100 cm, 130 cm needle and 410 cm looper; 540 with 15 % is 621."""
    assert needle_and_bobbin_m(5.40, "401") == pytest.approx((1.30, 4.10))
    with_waste = 5.40 * WASTE
    assert with_waste == pytest.approx(6.21)


def test_lockstitch_is_shared_evenly() -> None:
    """A 220 cm seam at 2.5 takes 550 cm, 275 above and 275 below: a sewing page, its slip of 1210 left out."""
    assert needle_and_bobbin_m(2.20 * 2.5) == pytest.approx((2.75, 2.75))
    assert set(NEEDLE_SHARE) == set(STITCHES)


def test_a_top_stitched_seam_takes_three_rows() -> None:
    assert thread_m(2500, 3, 5, rows=TOP_STITCHED_ROWS) == pytest.approx(3 * 2.5 * 3.2 * 1.15)


@pytest.mark.parametrize("treatment", ["leather_recover", "vinyl_recover", "cloth_recover"])
def test_our_own_rates_lie_between_a_plain_and_a_top_stitched_seam(treatment: str) -> None:
    """Covers mix both: 3 mm of stack in 5 mm stitches."""
    (rate,) = dict(load().treatments[treatment].uses)["thread_machine"]
    assert thread_m(1000, 3, 5) <= rate.amount * rate.waste <= thread_m(1000, 3, 5, rows=TOP_STITCHED_ROWS)

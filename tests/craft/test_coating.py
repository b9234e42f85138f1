"""What a coating formula refuses: shares that are percentages, films of nothing, ratios of nothing."""

from __future__ import annotations

import pytest

from trimwright.craft.coating import coverage_m2_per_l, dry_from_wet_um, mixed
from trimwright.errors import BadInput


def test_every_wrong_figure_is_named_at_once() -> None:
    with pytest.raises(BadInput) as refused:
        coverage_m2_per_l(solids=65, dry_film_um=0, transfer=float("nan"))
    assert [problem.where for problem in refused.value.problems] == ["solids", "transfer", "dry_film_um"]
    assert "0.3" in refused.value.problems[0].way_out


def test_thinner_cannot_be_less_than_nothing() -> None:
    with pytest.raises(BadInput, match="thinner"):
        dry_from_wet_um(80, 0.35, thinner=-0.1)


@pytest.mark.parametrize("ratio", [(), (0, 0), (4, -1)])
def test_a_ratio_needs_parts(ratio: tuple[float, ...]) -> None:
    with pytest.raises(BadInput, match="mixing ratio"):
        mixed(0.3, ratio, [1.0] * len(ratio))

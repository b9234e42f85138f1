"""Grain sizes of FEPA P grades against the table as printed."""

from __future__ import annotations

import pytest

from tests.published.rows import rows
from trimwright.facts.workbench import load_workbench


@pytest.mark.parametrize("row", rows("grits"), ids=lambda row: row["grade"])
def test_grains_are_those_of_fepa(row: dict[str, str]) -> None:
    assert load_workbench().grits[row["grade"]].um == float(row["um"])

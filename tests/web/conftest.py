"""The web inside a test: a data folder of its own, two people with a device each, the small cabin kept as a job."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.cache import cache
from pytest_django import Settings

from tests.plan.small_cabin import small_job
from trimwright.web.jobs import store
from trimwright.web.jobs.devices import Device

PHONE = Device("phone-id", "phone")
LAPTOP = Device("laptop-id", "laptop")


@pytest.fixture(autouse=True)
def own_folder(settings: Settings, tmp_path: Path) -> Path:
    """Nothing a test keeps is seen by another; a hasher that takes no time."""
    settings.DATA = tmp_path
    settings.PHOTOS, settings.PAPERS, settings.COPIES = tmp_path / "photos", tmp_path / "papers", tmp_path / "copies"
    settings.STATIC_ROOT = tmp_path / "static"
    settings.STATIC_ROOT.mkdir()
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    cache.clear()
    return tmp_path


@pytest.fixture
def key(db: None) -> str:  # noqa: ARG001
    """The small cabin, kept; begun on the laptop."""
    return store.start_job(small_job(), LAPTOP).key

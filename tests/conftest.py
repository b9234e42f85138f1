"""What all tests share: the same examples every time, a database in a file as the shop has it, plain static files."""

from __future__ import annotations

import hypothesis
import pytest
from django.conf import settings

hypothesis.settings.register_profile("the same", derandomize=True, deadline=None)
hypothesis.settings.register_profile("anew", derandomize=False, deadline=None, print_blob=True)
hypothesis.settings.load_profile("the same")  # a change is judged by the change; `make explore` looks further


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    tmp_path_factory: pytest.TempPathFactory,
    django_db_modify_db_settings_parallel_suffix: None,  # noqa: ARG001
) -> None:
    """SQLite in memory is shared between threads without waiting for each other; a file's users wait."""
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        database["TEST"] = {
            **database.get("TEST", {}),
            "NAME": str(tmp_path_factory.mktemp("database") / "test.sqlite3"),
        }


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The one long test goes first: with two workers, none waits for it at the end."""
    items.sort(key=lambda each: each.name != "test_the_commands_of_the_guide_run")


@pytest.fixture(scope="session", autouse=True)
def plain_static_files() -> None:
    """Once for all tests: a page that is still being answered when its test ends must not bring back hashed names."""
    settings.STORAGES = {
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }

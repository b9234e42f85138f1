"""The app as Django knows it."""

from __future__ import annotations

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Jobs and what belongs to them."""

    name = "trimwright.web.jobs"
    label = "jobs"

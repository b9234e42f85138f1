"""A job that leaves the table: put away and brought back, or deleted for good."""

from __future__ import annotations

from django.utils import timezone
from django.utils.translation import gettext as _

from trimwright.web.jobs.devices import Device
from trimwright.web.jobs.models import JobRecord
from trimwright.web.jobs.store.allowed import refuse_hands
from trimwright.web.jobs.store.rows import record
from trimwright.web.jobs.store.shared_calendar import ask_for_shared_calendar


def put_job_away(key: str, by: Device) -> None:
    """Out of sight and off the shared calendar; nothing of it is lost."""
    refuse_hands(by, _("To put a job away"))
    JobRecord.objects.filter(pk=record(key).key, put_away_at=None).update(put_away_at=timezone.now())
    ask_for_shared_calendar()


def bring_job_back(key: str, by: Device) -> None:
    """At hand again."""
    refuse_hands(by, _("To bring a job back"))
    JobRecord.objects.filter(pk=record(key).key).update(put_away_at=None)
    ask_for_shared_calendar()


def delete_job(key: str, by: Device) -> None:
    """Gone for good with every revision, plan and row of a photo; only copies and bundles made before have it still."""
    refuse_hands(by, _("To delete a job"))
    record(key).delete()
    ask_for_shared_calendar()

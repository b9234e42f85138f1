"""`plan_worker`: makes the plans that are asked for, where pages are served by another process."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from trimwright.web.jobs.binder import Binder
from trimwright.web.jobs.planner import Planner
from trimwright.web.jobs.weigher import Weigher


class Command(BaseCommand):
    """Runs until it is interrupted."""

    help = "Make the plans that are asked for, until interrupted."

    def handle(self, *args: Any, **options: Any) -> None:
        planner, weigher, binder = Planner(), Weigher(), Binder()
        weigher.start()
        binder.start()
        try:
            planner.run()
        except KeyboardInterrupt:
            planner.stop()
        finally:
            weigher.stop()
            binder.stop()

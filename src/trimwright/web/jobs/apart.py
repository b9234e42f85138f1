"""Processes of their own for what takes long: each forked from one that has its libraries loaded, and there at once.

The solver, its arrays, the typesetter and what reads photos take two seconds to load, and a process whose work nobody
wants any more is ended. Where a system can't fork, each process loads them for itself.
"""

from __future__ import annotations

import multiprocessing
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from multiprocessing.context import ForkServerContext, SpawnContext

LOADED = (
    "trimwright.web.jobs.planning",
    "trimwright.plan.plan",
    "trimwright.plan.changes",
    "trimwright.plan.calendar.schedule",
    "trimwright.papers",
    "trimwright.craft.colour.photo",
    "trimwright.web.jobs.bench_work",
    "trimwright.web.jobs.photo_work",
    "cv2",
    "highspy",
    "numpy",
    "openpyxl",
    "ortools.sat.python.cp_model",
    "typst",
)

APART: ForkServerContext | SpawnContext = (
    multiprocessing.get_context("forkserver")
    if "forkserver" in multiprocessing.get_all_start_methods()
    else multiprocessing.get_context("spawn")
)
APART.set_forkserver_preload(list(LOADED))

"""What was decided last for the jobs that were at hand last, kept while the server runs, for whatever asks next.

The processes that decide are ended whenever nobody wants their work any more; what they decided outlives them here.
"""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trimwright.web.jobs.planning import Decision

MOST_KEPT = 8
"""Jobs; each takes about a megabyte."""

_kept: OrderedDict[str, Decision] = OrderedDict()
_one_at_a_time = Lock()


def keep(key: str, decision: Decision) -> None:
    """Keep what was decided for a job."""
    with _one_at_a_time:
        _kept[key] = decision
        _kept.move_to_end(key)
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)


def last(key: str) -> Decision | None:
    """What was decided for a job last, as far as it is kept."""
    with _one_at_a_time:
        return _kept.get(key)

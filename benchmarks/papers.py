"""How long the papers of the demo take, each and all four, on both sizes: `python benchmarks/papers.py`.

The plan is made first and its time is not counted; the first paper printed also loads Typst and the fonts.
"""

from __future__ import annotations

from datetime import UTC, datetime
from time import perf_counter

from trimwright.demo import demo_job
from trimwright.facts import load
from trimwright.papers import PAPERS, PaperSize, paper_pdf
from trimwright.plan.plan import make_plan

MADE = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
SIZES: tuple[PaperSize, ...] = ("a4", "us-letter")


def main() -> None:
    """Print the seconds."""
    plan = make_plan(demo_job(), load())
    for size in SIZES:
        whole = 0.0
        for name in PAPERS:
            started = perf_counter()
            printed = paper_pdf(name, plan, MADE, size)
            taken = perf_counter() - started
            whole += taken
            print(f"{name}, {size}: {taken:.2f} s, {len(printed) / 1024:.0f} KiB")
        print(f"all {len(PAPERS)} papers, {size}: {whole:.2f} s")


if __name__ == "__main__":
    main()

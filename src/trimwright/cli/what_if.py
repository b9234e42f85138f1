"""Why a verdict is what it is, and what strip-down may make of it: `why`, `replay`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from trimwright.cli.asked import end, planned
from trimwright.cli.options import AsJson, BookFile, JobFile
from trimwright.cli.terminal import console, counting, print_json, progress

if TYPE_CHECKING:
    from rich.console import Console

    from trimwright.plan.plan import Plan
    from trimwright.plan.verdicts.replay import Replay
    from trimwright.plan.verdicts.why import OtherWay, Why

MOST_REPLAYS = 5_000


def why(
    job_file: JobFile,
    part: Annotated[str, typer.Argument(help="The part, by id.", metavar="PART", show_default=False)],
    seconds: Annotated[
        float, typer.Option(help="Time to look; more of it proves more.", metavar="SECONDS", min=0.1)
    ] = 8.0,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """Why a part has its verdict: what every other way would lose."""
    from trimwright.cli import shapes
    from trimwright.job.files import read_job
    from trimwright.plan.verdicts.why import part_named, reasons

    plan = planned(read_job(job_file), book)
    part_named(plan.quantities, part)
    with progress("trying every other way"):
        found = reasons(plan.quantities, plan.verdicts, part, seconds=seconds)
    if as_json:
        print_json(shapes.why(found, plan.verdicts.money.currency))
    else:
        print_why(console(), plan, found)
    end(plan)


def replay(
    job_file: JobFile,
    n: Annotated[int, typer.Option("-n", help="How often to live through it.", min=1, max=MOST_REPLAYS)] = 300,
    seed: Annotated[int, typer.Option(help="Another seed, other finds.", min=0)] = 1,
    workers: Annotated[int, typer.Option(help="Replays at once.", min=1, max=64)] = 2,
    book: BookFile = None,
    as_json: AsJson = False,
) -> None:
    """What strip-down may find: what to order now, what to hold.

    Every verdict is told with how often it survives.
    Ctrl-C stops it and tells of the replays there are.
    """
    from trimwright.cli import shapes
    from trimwright.job.files import read_job
    from trimwright.plan.verdicts.replay import replay as live_through

    plan = planned(read_job(job_file), book)
    with counting("what strip-down may find") as answered:
        found = live_through(plan.quantities, plan.verdicts, n=n, seed=seed, workers=workers, answered=answered)
    if as_json:
        print_json(shapes.replay(found))
    else:
        print_replay(console(), plan, found)
    end(plan)


# ---- on the terminal ---------------------------------------------------------------------------------------------


def print_why(console: Console, plan: Plan, found: Why) -> None:
    """The verdict, then every other way with what it loses and the reasons."""
    from rich.text import Text

    from trimwright.cli.tables import plain_table

    names = {each.part: each.name for each in plan.quantities.parts}
    with_whole = f" with {names[found.settled_by]}" if found.settled_by else ""
    console.print(Text(f"{found.name}: {found.course.name}{with_whole}, finish {found.finish}", style="bold"))
    if not found.others:
        console.print(Text("There is no other way: it is held, or nothing else suits its faults."))
        return
    currency = plan.verdicts.money.currency
    table = plain_table(("Instead", "Finish", "The cabin would lose", "Because"), right=frozenset({1}))
    for other in found.others:
        loss, because = loss_told(other, currency), " ".join(other.reasons)
        table.add_row(Text(other.course.name), str(other.finish), Text(loss), Text(because, "dim"))
    console.print(table)


def loss_told(other: OtherWay, currency: str) -> str:
    """What the whole cabin loses with it, in finish steps of an ordinary part or in money."""
    from trimwright import units
    from trimwright.plan.quantities.cabin import POINT_SCALE

    if other.points_lost is None:
        return f"{units.money(other.money_more, currency, code=True)} over the sum"
    if other.points_lost:
        at_most = "" if other.proven else "at most "
        return f"{at_most}{other.points_lost / POINT_SCALE:.1f} finish steps"
    if other.money_more > 0:
        return f"{units.money(other.money_more, currency, code=True)} more for the same"
    return "nothing: as good, and takes longer"


def print_replay(console: Console, plan: Plan, found: Replay) -> None:
    """What holds, the spread of the finish, what to order now and what to hold, the least sure first."""
    from rich.text import Text

    from trimwright.cli.tables import plain_table
    from trimwright.plan.quantities.cabin import LEAVE

    stopped = f" (stopped; {found.asked} were asked for)" if found.n < found.asked else ""
    console.print(Text(f"{found.n} replays{stopped}, seed {found.seed}, {found.seconds:.0f} s", style="dim"))
    low, middle, high = found.finish
    console.print(Text(f"The sum holds in {found.holds:.0%}. The cabin's finish: {low} to {high}, mostly {middle}."))
    treated = [each for each in found.parts if each.course != LEAVE]
    hold = sorted((each for each in treated if each.order == "hold"), key=lambda each: each.survives)
    now = [each for each in treated if each.order == "now"]
    perhaps = sum(each.order == "hold" for each in found.parts) - len(hold)
    console.print()
    if hold:
        console.print(Text("Hold until strip-down", style="bold"))
        table = plain_table(("  Part", "Verdict", "Survives"), right=frozenset({2}))
        for each in hold:
            table.add_row(f"  {each.name}", Text(each.course_name), f"{each.survives:.0%}")
        console.print(table)
        console.print()
    console.print(
        Text("Order now", style="bold").append(f"  what {len(now)} verdicts need; they hardly ever change", "")
    )
    waiting = [each for each in found.packs if each.order == "hold"]
    if waiting:
        told = "; ".join(
            f"{plan.quantities.materials[each.material].name} ({each.survives:.0%})"
            for each in sorted(waiting, key=lambda each: each.survives)
        )
        console.print(Text(f"Of the packs, these may turn out too many: {told}."))
    if perhaps:
        console.print(Text(f"Of the parts that are left, {perhaps} may be done after all once the car is open."))

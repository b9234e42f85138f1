"""Arguments and options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

JobFile = Annotated[Path, typer.Argument(help="The job file (JSON).", metavar="JOB", show_default=False)]
BookFile = Annotated[
    Path | None,
    typer.Option("--book", help="The shop book: its own figures go before the trade's.", metavar="BOOK"),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object instead of tables.")]
Force = Annotated[bool, typer.Option("--force", help="Write over a file that is there.")]

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
Letter = Annotated[bool, typer.Option("--letter", help="US Letter instead of A4.")]
PaperFolder = Annotated[Path | None, typer.Option("--out", help="Write its papers into this folder.", metavar="FOLDER")]
Force = Annotated[bool, typer.Option("--force", help="Write over a file that is there.")]

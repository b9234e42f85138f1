"""The command line: read, call, print. `commands.py` has the commands, `shapes.py` the JSON, `tables.py` the tables."""

from __future__ import annotations

import sys


def main() -> None:
    """Run a command. Exit code 0: fine; 2: the input is wrong (everything wrong is listed); 3: the sum is short."""
    from trimwright.cli.commands import app
    from trimwright.errors import BadInput, TrimwrightError

    for stream in (sys.stdout, sys.stderr):
        # a terminal that cannot show a letter shows a question mark, and the command goes on
        stream.reconfigure(errors="replace")  # type: ignore[union-attr]
    try:
        app(prog_name="trimwright")
    except BadInput as error:
        wrong = len(error.problems)
        print("1 problem:" if wrong == 1 else f"{wrong} problems:", file=sys.stderr)
        for problem in error.problems:
            print(f"  {problem}", file=sys.stderr)
        sys.exit(2)
    except TrimwrightError as error:
        print(error, file=sys.stderr)
        sys.exit(2)
    except OSError as error:
        # reading is told by the stages; what is left is a place that cannot be written
        named = error.filename2 or error.filename or "the file"
        print(
            f"1 problem:\n  {named}: cannot be written ({error.strerror}). Check the name and the folder.",
            file=sys.stderr,
        )
        sys.exit(2)

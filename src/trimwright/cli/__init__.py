"""The command line: read, call, print. `commands.py` has the commands, `shapes.py` the JSON, `tables.py` the tables."""

from __future__ import annotations

import sys


def main() -> None:
    """Run a command. Exit code 0: fine; 2: the input is wrong (everything wrong is listed); 3: the sum is short."""
    from trimwright.cli.commands import app
    from trimwright.errors import BadInput, TrimwrightError

    try:
        app(standalone_mode=True)
    except BadInput as error:
        print(f"{len(error.problems)} problem{'s' * (len(error.problems) != 1)}:", file=sys.stderr)
        for problem in error.problems:
            print(f"  {problem}", file=sys.stderr)
        sys.exit(2)
    except TrimwrightError as error:
        print(error, file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)

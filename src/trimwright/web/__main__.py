"""Django's own commands: `python -m trimwright.web migrate`, `check`, `plan_worker`."""

from __future__ import annotations

import os
import sys

from trimwright.web.folder import data_folder, prepare


def main() -> None:
    """Run one of Django's commands, or ours, over the data folder."""
    from django.core.management import execute_from_command_line

    prepare(data_folder())
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trimwright.web.settings")
    execute_from_command_line([f"{sys.executable} -m trimwright.web", *sys.argv[1:]])


if __name__ == "__main__":
    main()

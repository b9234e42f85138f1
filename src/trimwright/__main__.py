"""`python -m trimwright`."""

from trimwright.cli import main

main()

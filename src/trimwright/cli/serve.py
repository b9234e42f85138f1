"""`trimwright serve` on a terminal: asks for the passphrase once, prints the address and the code for the phone."""

from __future__ import annotations

import sys

import typer


def serve(*, lan: bool, port: int) -> None:
    """Set up and serve until interrupted."""
    from trimwright.web import serving
    from trimwright.web.folder import data_folder

    address = serving.set_up(lan=lan, port=port)
    if lan:
        _ask_for_passphrase()

    def told() -> None:
        print(f"Trimwright: {address.local}\nEverything is kept in {data_folder()}. Stop with Ctrl+C.")
        if address.lan:
            print(f"On the phone, in this network: {address.lan}")
            _print_code(address.lan)
        elif lan:
            print("No network was found: only this machine can ask.")
        sys.stdout.flush()

    serving.serve(lan=lan, port=port, told=told)


def _ask_for_passphrase() -> None:
    """Once; the settings page changes it."""
    from trimwright.errors import BadInput, Problem
    from trimwright.web import security
    from trimwright.web.jobs import store

    while not store.shop().passphrase:
        try:
            typed = typer.prompt(
                "A passphrase for the phone, ten letters at least", hide_input=True, confirmation_prompt=True, err=True
            )
        except typer.Abort:
            what = "was not given, and without it nothing is opened to the network."
            raise BadInput(Problem("passphrase", "", what, "Give one, or serve without --lan.")) from None
        try:
            security.keep_passphrase(typed)
        except BadInput as error:
            print(error.problems[0].what, file=sys.stderr)


def _print_code(address: str) -> None:
    """The address as a QR code (ISO/IEC 18004) on the terminal."""
    import segno

    segno.make(address, error="m").terminal(compact=True)

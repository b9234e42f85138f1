"""`trimwright serve` on a terminal: asks for the owner once, prints the address and the code for the phone."""

from __future__ import annotations

import sys

import typer


def serve(*, lan: bool, port: int) -> None:
    """Set up and serve until interrupted."""
    from trimwright.web import serving
    from trimwright.web.folder import data_folder

    address = serving.set_up(lan=lan, port=port)
    owner = _owner() if lan else ""

    def told() -> None:
        print(f"Trimwright: {address.local}\nEverything is kept in {data_folder()}. Stop with Ctrl+C.")
        if address.lan:
            print(f"On the phone, in this network: {address.lan}")
            _print_code(address.lan)
        elif lan:
            print("No network was found: only this machine can ask.")
        if lan:
            print(f"The owner comes in as {owner}.")
        sys.stdout.flush()

    serving.serve(lan=lan, port=port, told=told)


def _owner() -> str:
    """The owner's name; asked for once, with a passphrase: the settings add people and change them."""
    from trimwright.errors import BadInput, Problem
    from trimwright.web.jobs import store
    from trimwright.web.serving import begin_owner

    while (found := store.owner()) is None:
        try:
            name = typer.prompt("The owner's name, in one word", err=True)
            typed = typer.prompt(
                "The owner's passphrase, ten letters at least", hide_input=True, confirmation_prompt=True, err=True
            )
        except typer.Abort:
            what = "was not given, and without one nothing is opened to the network."
            raise BadInput(Problem("owner", "", what, "Give name and passphrase, or serve without --lan.")) from None
        for each in begin_owner(name, typed):
            print(each, file=sys.stderr)
    return found.get_username()


def _print_code(address: str) -> None:
    """The address as a QR code (ISO/IEC 18004) on the terminal."""
    import segno

    segno.make(address, error="m").terminal(compact=True)

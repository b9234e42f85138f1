"""`trimwright serve`: makes the data folder ready, then serves pages until it is told to stop."""

from __future__ import annotations

import gc
import hashlib
import os
import socket
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from trimwright.errors import BadInput, Problem
from trimwright.web.folder import data_folder, prepare

THREADS = 8
SELDOM = (300_000, 10, 10)
"""Things made before the newest are looked over, a few pages' worth; how often so before the older ones are as well."""
LOCAL = "127.0.0.1"
EVERYWHERE = "0.0.0.0"  # only with --lan, behind the door


@dataclass(frozen=True, slots=True)
class Address:
    """Where pages are served, and where a phone finds them; `lan` is None when only this machine may ask."""

    local: str
    lan: str | None


def set_up(*, lan: bool, port: int) -> Address:
    """Prepare the data folder, Django, the tables, the static files and the demo job; nothing is served yet.

    BadInput when the port is taken.
    """
    _free(EVERYWHERE if lan else LOCAL, port)
    prepare(data_folder())
    there = lan_address() if lan else None
    if lan:
        os.environ["TRIMWRIGHT_GUARDED"] = "1"
        hosts = [
            os.environ.get("TRIMWRIGHT_HOSTS", ""),
            there or "",
            socket.gethostname(),
            f"{socket.gethostname()}.local",
        ]
        os.environ["TRIMWRIGHT_HOSTS"] = ",".join(filter(None, hosts))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trimwright.web.settings")
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", interactive=False, verbosity=0)
    gather_static()
    put_demo_in_place()
    return Address(f"http://{LOCAL}:{port}/", f"http://{there}:{port}/" if there else None)


def serve(*, lan: bool, port: int, told: Callable[[], None]) -> None:
    """Serve until interrupted; `told` is called when pages can be asked for."""
    from waitress.server import create_server

    from trimwright.web.jobs.binder import Binder
    from trimwright.web.jobs.copies import Copies
    from trimwright.web.jobs.planner import Planner
    from trimwright.web.jobs.weigher import Weigher
    from trimwright.web.wsgi import application

    beside = Planner(), Weigher(), Binder(), Copies()
    server = create_server(
        application,
        host=EVERYWHERE if lan else LOCAL,
        port=port,
        threads=THREADS,
        ident=None,
        max_request_body_size=600_000_000,
        clear_untrusted_proxy_headers=True,
    )
    leave_what_is_loaded()
    for each in beside:
        each.start()
    try:
        told()
        server.run()
    finally:
        for each in beside:
            each.stop()
        server.close()


def leave_what_is_loaded() -> None:
    """Load every view and the facts, leave all that is there by now out of the search for garbage, and look seldom.

    Looking it over again and again kept one page in twenty waiting for an eighth of a second.
    """
    from django.urls import get_resolver

    from trimwright.facts import load

    load()
    get_resolver().url_patterns  # noqa: B018 -- read for what it imports
    gc.collect()
    gc.freeze()
    gc.set_threshold(*SELDOM)


def begin_owner(name: str, passphrase: str) -> list[str]:
    """Keep the owner's account; what is wrong with name or passphrase, where something is."""
    from trimwright.web.jobs import store
    from trimwright.web.jobs.devices import Device
    from trimwright.web.jobs.people_forms import NewPersonForm

    form = NewPersonForm({"username": name, "password1": passphrase, "password2": passphrase})
    if form.is_valid():
        store.add_person(form.save(commit=False), Device("terminal", "terminal"), is_owner=True)
    return [str(each) for told in form.errors.values() for each in told]


def put_demo_in_place() -> None:
    """The demo's job, once, where there is no job at all: who deletes it does not get it again."""
    from trimwright.demo import demo_job
    from trimwright.web.jobs import store
    from trimwright.web.jobs.devices import Device

    by = Device("demo", "demo")
    if not store.shop().had_demo:
        if not store.jobs() and not store.jobs_away():
            store.start_job(demo_job(), by)
        store.keep_shop(by, had_demo=True)


def gather_static() -> None:
    """Scripts, styles and fonts under names that tell their content, packed; only when one of them has changed."""
    from django.conf import settings
    from django.contrib.staticfiles.finders import get_finders
    from django.core.management import call_command

    if settings.DEBUG:
        return
    digest = hashlib.sha256()
    for finder in get_finders():
        for name, storage in sorted(finder.list([]), key=lambda each: each[0]):
            digest.update(f"{name} {storage.size(name)} {storage.get_modified_time(name)}\n".encode())
    root = Path(settings.STATIC_ROOT)
    stamp = root.with_name("static.stamp")
    if not stamp.is_file() or stamp.read_text() != digest.hexdigest() or not root.is_dir():
        call_command("collectstatic", interactive=False, verbosity=0, clear=True)
        stamp.write_text(digest.hexdigest())


def lan_address() -> str | None:
    """This machine's address in the network it would use; None without a network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # an address for documentation (RFC 5737): nothing is sent, the system only chooses the way
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return None
        return str(probe.getsockname()[0])


def _free(host: str, port: int) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((host, port))
        except OSError as error:
            what = f"cannot be opened ({error.strerror})."
            raise BadInput(Problem("--port", str(port), what, "Choose another, such as --port 8500.")) from None

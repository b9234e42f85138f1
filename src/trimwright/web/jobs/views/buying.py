"""Buying: the plan's list by seller; what is ordered, has come, for how much, what went back and what is left over.

Every form is a plain form that goes back to the page. Asked by htmx, the page answers with its own part alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from django import forms
from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST
from django.views.decorators.vary import vary_on_headers
from django_htmx.http import reswap, retarget, trigger_client_event

from trimwright.book.document import Book
from trimwright.book.entries import sound, with_entry, without_entries
from trimwright.errors import BadEdit, BadInput, Problem
from trimwright.facts import load
from trimwright.job.account import at_its_price
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, Edit, RemoveEntry, SetField, Together
from trimwright.job.events import Bought, Ordered
from trimwright.web.jobs import papers, purchases, store
from trimwright.web.jobs.answering import REPLAY
from trimwright.web.jobs.buying_forms import ArrivedForm, CarriageForm, DeliveredForm, PriceForm
from trimwright.web.jobs.devices import device_of, may_change_money
from trimwright.web.jobs.frame import PENDING, frame
from trimwright.web.jobs.models import Answer, State
from trimwright.web.jobs.writing import happened, keep, seen_job

STAGE = "buying"
LISTS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "pdf": "application/pdf",
}


@never_cache
@require_GET
@vary_on_headers("HX-Request")
def buying(request: HttpRequest, key: str) -> HttpResponse:
    """The list, what is on the way, what is here, what will be left over."""
    return _page(request, key)


@never_cache
@require_GET
def buying_list(request: HttpRequest, key: str, ending: str) -> FileResponse:
    """The list as a file for a spreadsheet or for print."""
    if ending not in LISTS:
        raise store.NoSuchRecord(f"{key}: buying list as {ending}")
    plan = store.newest_printed(key)
    name = f"{store.job_at(key, plan.revision).id}-buying-list.{ending}"
    file = papers.paper(plan, f"buying-list.{ending}").open("rb")
    return FileResponse(file, content_type=LISTS[ending], filename=name, as_attachment=ending != "pdf")


@require_POST
def order(request: HttpRequest, key: str) -> HttpResponse:
    """Note as ordered what is ticked; each tick's fields carry its row's id in front."""
    told = [
        happened(
            request,
            "ordered",
            f"{request.POST.get('edit_id', '')}{row}",
            **purchases.names_sent(request.POST, f"{row}-"),
            count=_whole(request.POST.get(f"{row}-count")),
            expected=_whole(request.POST.get(f"{row}-expected")),
        )
        for row in request.POST.getlist("row")
    ]
    if not told:
        messages.info(request, _("Tick what is ordered first."))
        return _page(request, key) if request.headers.get("HX-Request") else redirect("buying", key)
    edits = tuple(AddEntry(path=("events",), value=each) for each in told)
    keep(request, key, edits[0] if len(edits) == 1 else Together(edits=edits))
    return _onward(request, key)


@require_POST
def ask_replay(request: HttpRequest, key: str) -> HttpResponse:
    """Ask what is still wanted after strip-down, so that what is sure may be ordered now."""
    plan = store.newest_result(key)
    if plan is not None:
        found = store.ask(plan.pk, REPLAY, urgent=True)
        if found.state == State.FAILED:
            store.ask_anew(plan.pk, REPLAY)
    return _page(request, key) if request.headers.get("HX-Request") else redirect("buying", key)


@never_cache
@require_GET
def now_or_hold(request: HttpRequest, key: str) -> HttpResponse:
    """How far the answer has come, asked for by the page; once it is there, the whole of the page's own part."""
    plan = store.newest_result(key)
    replay = store.answer(plan.pk, REPLAY) if plan else None
    if replay is not None and replay.state == State.DONE:
        return retarget(reswap(_page(request, key), "outerHTML"), "#buying")
    return render(request, "jobs/buying/_now_or_hold.html", {"row": store.record(key), **_asked(replay)})


@require_POST
def arrived(request: HttpRequest, key: str) -> HttpResponse:
    """Note a row of the list as bought and paid."""
    job = seen_job(request, key)
    form = ArrivedForm(request.POST, currency=job.money.currency)
    if not form.is_valid():
        return _page(request, key, {request.POST.get("row", ""): form})
    names = purchases.names_sent(request.POST)
    event = happened(
        request,
        "bought",
        request.POST.get("edit_id", ""),
        **names,
        count=form.cleaned_data["count"] if names.get("thing") == "material" else 1,
        paid=form.cleaned_data["paid"],
    )
    keep(request, key, AddEntry(path=("events",), value=event))
    return _onward(request, key)


@require_POST
def delivered(request: HttpRequest, key: str) -> HttpResponse:
    """A delivery: the lines that are ticked have come, each with its own fields; all of it is kept, or nothing.

    Fewer may have come than were ordered: the rest stays on the way, or is said not to come. What is wrong goes back,
    and what comes back for it is said.
    """
    job = seen_job(request, key)
    ticked = request.POST.getlist("order")
    if not ticked:
        messages.info(request, _("Tick what has come first."))
        return _page(request, key) if request.headers.get("HX-Request") else redirect("buying", key)
    currency = job.money.currency
    may_price = may_change_money(request)
    lines = {each: DeliveredForm(request.POST, prefix=each, currency=currency, priced=may_price) for each in ticked}
    carriage = CarriageForm(request.POST, currency=currency)
    wrong = [each for each in (*lines.values(), carriage) if not each.is_valid()]
    if wrong:
        return _page(request, key, {**lines, f"carriage-{request.POST.get('seller', '')}": carriage})
    edits = [edit for at, (each, form) in enumerate(lines.items(), 1) for edit in _came(request, job, each, form, at)]
    if carriage.cleaned_data["carriage"]:
        told = {
            "thing": "carriage",
            "seller": request.POST.get("seller", ""),
            "paid": carriage.cleaned_data["carriage"],
        }
        event = happened(request, "bought", f"{request.POST.get('edit_id', '')}-0", **told)
        edits.append(AddEntry(path=("events",), value=event))
    keep(request, key, edits[0] if len(edits) == 1 else Together(edits=tuple(edits)))
    return _onward(request, key)


@require_POST
def gone_back(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """Note that something bought went back, and what came back for it."""
    job = seen_job(request, key)
    bought = _event(job, event, Bought)
    form = PriceForm(request.POST, currency=job.money.currency)
    if form.is_valid() and form.cleaned_data["price"] > bought.paid:
        form.add_error("price", _("That is more than was paid."))
    if not form.is_valid():
        return _page(request, key, {f"back-{event}": form})
    keep(request, key, SetField(path=("events", event, "returned"), value=form.cleaned_data["price"]))
    return _onward(request, key)


@require_POST
def not_coming(request: HttpRequest, key: str, event: str) -> HttpResponse:
    """Stop waiting for what has not come of an order; an order of which nothing came is taken out."""
    job = seen_job(request, key)
    ordered = _event(job, event, Ordered)
    came = any(isinstance(each, Bought) and each.order == event for each in job.events)
    edit: Edit = (
        SetField(path=("events", event, "off"), value=True)
        if came
        else RemoveEntry(path=("events",), value=ordered.model_dump(mode="json"))
    )
    keep(request, key, edit)
    return _onward(request, key)


@require_POST
def price(request: HttpRequest, key: str) -> HttpResponse:
    """What a row of the list costs: a pack's price goes into the shop book, a part's into the job's offers.

    A pack's price with `put back` is taken out of the book again.
    """
    job = seen_job(request, key)
    names = purchases.names_sent(request.POST)
    if "put back" in request.POST:
        _price_of_pack(request, job, names, None)
        return _onward(request, key)
    form = PriceForm(request.POST, currency=job.money.currency)
    if not form.is_valid():
        return _page(request, key, {f"price-{request.POST.get('row', '')}": form})
    if names.get("thing") == "material":
        _price_of_pack(request, job, names, form.cleaned_data["price"])
    else:
        keep(request, key, _price_of_part(job, names, form.cleaned_data["price"]))
    return _onward(request, key)


@require_POST
def used_up(request: HttpRequest, key: str) -> HttpResponse:
    """Note that of one material nothing is on the shelf any more, the shop's or the job's own."""
    job, book = seen_job(request, key), store.book()
    material, colour = request.POST.get("material", ""), request.POST.get("colour", "")
    alike = (material, colour.casefold())
    own = [each for each in job.stock if (each.material, each.colour.casefold()) == alike]
    shelf = [each for each in book.stock if (each.material, each.colour.casefold()) == alike]
    if not own and not shelf:
        raise BadInput(Problem(_("shelf"), material, _("is not on it."), _("Reload the page.")))
    if shelf:
        named = ", ".join(filter(None, (load().materials[material].name, shelf[0].colour)))
        line = _("Used up: %(what)s") % {"what": named}
        gone = {"material": material, "colour": shelf[0].colour}
        store.change_book(lambda book: without_entries(book, "stock", **gone), device_of(request), line)
        messages.info(request, line)
    if own:
        values = [each.model_dump(mode="json") for each in own]
        edits = tuple(RemoveEntry(path=("stock",), value=each) for each in values)
        keep(request, key, edits[0] if len(edits) == 1 else Together(edits=edits))
    return _onward(request, key)


@require_POST
def to_the_shelf(request: HttpRequest, key: str) -> HttpResponse:
    """Put what is left over of one material on the shop's shelf: so much lies there from now on.

    The job remembers it, so that the same is not put there twice.
    """
    plan, job = store.newest_result(key), seen_job(request, key)
    wanted = (request.POST.get("material"), request.POST.get("colour", ""))
    made = (plan and plan.result) or {}
    there = purchases.left_over(made, job, load(), store.book()) if "buying" in made else []
    found = next((each for each in there if (each.material, each.colour) == wanted), None)
    if found is None:
        raise BadInput(Problem(_("shelf"), wanted[0] or "", _("is not left over."), _("Reload the page.")))
    amount = found.milli / 1000
    line = _("On the shelf: %(what)s, %(amount)s") % {"what": found.name, "amount": f"{amount:g} {found.unit}"}
    entry = {"material": found.material, "colour": found.colour, "amount": amount}
    store.change_book(lambda book: with_entry(book, "stock", entry), device_of(request), line)
    told = {"what": "left-over", "name": line, "material": found.material, "colour": found.colour, "came": 0}
    event = happened(request, "account", request.POST.get("edit_id", ""), **told)
    keep(request, key, AddEntry(path=("events",), value=event))
    return _onward(request, key)


# What the page stands on.


def _page(request: HttpRequest, key: str, wrong: Mapping[str, forms.Form] | None = None) -> HttpResponse:
    """The page, or its own part for htmx; `wrong` are forms sent back, by their row."""
    row = store.record(key)
    context = frame(request, row, STAGE)
    job, plan, trade, book = context["job"], context["plan"], load(), store.book()
    here = purchases.here(job, trade, book)
    context |= {"wrong": wrong or {}, "page_id": purchases.new_id(), "here": here}
    context["spent"] = sum(each.event.cost for each in here)
    if plan and "buying" in plan:
        replay = store.answer(context["plan_record"].pk, REPLAY)
        asked = purchases.sellers(plan, job, book, timezone.localdate(), _survival(replay))
        context |= {
            "sellers": asked,
            "once": purchases.once(plan),
            "deliveries": purchases.deliveries(purchases.on_the_way(job, trade, book, asked)),
            "left_over": purchases.left_over(plan, job, trade, book),
            "from_the_shelf": purchases.from_the_shelf(plan, job, book),
            **_asked(replay),
        }
    template = "jobs/buying/_buying.html" if request.headers.get("HX-Request") else "jobs/buying/buying.html"
    return render(request, template, context, status=422 if wrong else 200)


def _asked(replay: Answer | None) -> dict[str, Any]:
    """What the page needs to say what is still wanted after strip-down, or how far that has come."""
    return {"replay": replay, "replay_pending": replay is not None and replay.state in PENDING}


def _survival(answer: Answer | None) -> dict[str, float]:
    """How often each part and each pack is still wanted after strip-down, where that was asked and told."""
    if answer is None or not answer.data:
        return {}
    told = {**answer.data["parts"], **answer.data["packs"]}
    return {name: each["survives"] for name, each in told.items()}


def _onward(request: HttpRequest, key: str) -> HttpResponse:
    """Back to the page; for htmx its own part, and word to the strip that the job changed."""
    if not request.headers.get("HX-Request"):
        return redirect("buying", key)
    return trigger_client_event(_page(request, key), "job-changed")


def _came(request: HttpRequest, job: Job, order_id: str, form: DeliveredForm, at: int) -> Iterator[Edit]:
    """One ticked line as bought of its order, and where it is said, the rest as no longer waited for.

    Who may not change money notes it at the price it was ordered for.
    """
    ordered, told = _event(job, order_id, Ordered), form.cleaned_data
    names = _names_of(job, order_id)
    count = told["count"] if ordered.thing == "material" else 1
    event = happened(
        request,
        "bought",
        f"{request.POST.get('edit_id', '')}-{at}",
        **names,
        order=order_id,
        count=count,
        paid=told.get("paid", at_its_price(ordered, count)),
        **({"returned": told["back"]} if told.get("back") is not None else {}),
    )
    yield AddEntry(path=("events",), value=event)
    if told.get("rest_off"):
        yield SetField(path=("events", order_id, "off"), value=True)


def _names_of(job: Job, order_id: str) -> dict[str, str]:
    """What an order is of, as a form would send it."""
    ordered = _event(job, order_id, Ordered)
    return {name: value for name in purchases.NAMES if (value := getattr(ordered, name))}


def _event(job: Job, event_id: str, kind: type[Any]) -> Any:
    for each in job.events:
        if each.id == event_id and isinstance(each, kind):
            return each
    raise store.NoSuchRecord(f"{job.id}: event {event_id}")


def _price_of_pack(request: HttpRequest, job: Job, names: Mapping[str, str], minor: int | None) -> None:
    """Into the shop book as of today, before tax; None takes the shop's own prices of it out."""
    trade, book = load(), store.book()
    pack, supplier = _pack_and_seller(names, book)
    currency = job.money.currency
    sold = {each.id: f"{of.name}, {each.sold_as}" for of in trade.materials.values() for each in of.packs}
    sold |= {each.id: each.sold_as for each in book.packs}
    if minor is None:
        line = _("Built-in price again: %(what)s") % {"what": sold.get(pack, pack)}

        def change(book: Book) -> Book:
            return without_entries(book, "prices", pack=pack, supplier=supplier, currency=currency)
    else:
        line = _("Price: %(what)s") % {"what": sold.get(pack, pack)}
        noted = {"pack": pack, "supplier": supplier, "currency": currency, "price": minor, "on": timezone.localdate()}

        def change(book: Book) -> Book:
            return sound(with_entry(book, "prices", noted), trade)

    store.change_book(change, device_of(request), line)
    messages.info(request, line)


def _pack_and_seller(names: Mapping[str, str], book: Book) -> tuple[str, str]:
    """The ids of the pack as it is listed and of its seller."""
    trade, given = load(), names.get("pack", "")
    usual = {each.id: each.supplier for of in trade.materials.values() for each in of.packs}
    for pack in (*usual, *(each.id for each in book.packs)):
        if given == pack and pack in usual:
            return pack, usual[pack]
        if given.startswith(f"{pack}."):
            return pack, given.removeprefix(f"{pack}.")
    own = [each.supplier for each in book.prices if each.pack == given]
    if not own:
        raise BadInput(Problem(_("pack"), given, _("is no pack that is sold."), _("Reload the page.")))
    return given, own[-1]


def _price_of_part(job: Job, names: Mapping[str, str], minor: int) -> Edit:
    """The offer that the plan reckons with at its known price, delivery inside; where there is none, a new one."""
    part = next((each for each in job.parts if each.id == names.get("part")), None)
    if part is None:
        raise BadEdit(Problem(_("part"), names.get("part", ""), _("is not there any more."), _("Reload the page.")))
    source, seller = names.get("source", ""), names.get("seller", "")
    offers: list[Any] = [each.model_dump(mode="json") for each in part.offers]
    exact = {"low": minor, "likely": minor, "high": minor, "delivery": 0}
    for offer in offers:
        if offer["source"] == source and offer["seller"] == seller:
            offer |= exact
            break
    else:
        offers.append({"source": source, "seller": seller, **exact})
    return SetField(path=("parts", part.id, "offers"), value=offers)


def _whole(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 13 else 0

"""The shop book: own prices, sellers, rates, tools and shelf, what own jobs have shown, treatments of one's own.

Every figure of the shop's own stands beside the built-in one and can be put back. Each change is a revision.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from django.views.decorators.vary import vary_on_headers

from trimwright.book.differences import differences
from trimwright.book.document import Book
from trimwright.book.entries import sound, with_entry, without_entries
from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.job.fields import free_id
from trimwright.job.starting import id_from
from trimwright.web.jobs import own_figures, planning, store
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.forms import Form
from trimwright.web.jobs.money_field import MoneyField

MOST = 40
"""Packs shown of a search."""


class PriceForm(Form):
    """What a pack costs, before tax."""

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["price"] = MoneyField(label=_("Price"), currency=currency)


class OwnPackForm(Form):
    """A pack that the list lacks, with its seller and its price."""

    sold_as = forms.CharField(label=gettext_lazy("The pack in words"), max_length=200)
    size = forms.FloatField(label=gettext_lazy("How much is in it, in the material’s unit"), min_value=0.001)

    def __init__(self, *args: Any, currency: str, book: Book, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        materials = sorted(load().materials.values(), key=lambda each: each.name)
        named = [(each.id, f"{each.name} ({each.unit})") for each in materials]
        sellers = sorted(own_figures.sellers_named(load(), book).items(), key=lambda each: each[1])
        self.fields["material"] = forms.ChoiceField(label=_("What is in it"), choices=named)
        self.fields["supplier"] = forms.ChoiceField(label=_("Who sells it"), choices=sellers)
        self.fields["price"] = MoneyField(label=_("Price, before tax"), currency=currency)
        self.order_fields(("material", "sold_as", "size", "supplier", "price"))


class SellerForm(Form):
    """A seller's terms."""

    name = forms.CharField(label=gettext_lazy("What it is called"), max_length=200)
    fewest = forms.IntegerField(label=gettext_lazy("Days, fewest"), min_value=0, max_value=400)
    usual = forms.IntegerField(label=gettext_lazy("usual"), min_value=0, max_value=400)
    most = forms.IntegerField(label=gettext_lazy("most"), min_value=0, max_value=400)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["carriage"] = MoneyField(label=_("Carriage"), currency=currency)
        self.fields["free_over"] = MoneyField(label=_("Free over"), currency=currency, required=False)
        self.fields["least_order"] = MoneyField(label=_("Least order"), currency=currency, required=False)
        self.order_fields(("name", "carriage", "free_over", "least_order", "fewest", "usual", "most"))

    def clean(self) -> dict[str, Any]:
        told = self.cleaned_data
        days = [told[name] for name in ("fewest", "usual", "most") if name in told]
        if days != sorted(days):
            self.add_error("fewest", _("The days must not fall: fewest, usual, most."))
        return told


class RateForm(Form):
    """What an hour is sold for."""

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["hour"] = MoneyField(label=_("One hour"), currency=currency)


class ShelfForm(Form):
    """What lies on the shelf of one material; nothing takes it off."""

    colour = forms.CharField(label=gettext_lazy("Colour, if it comes in colours"), max_length=60, required=False)
    amount = forms.FloatField(label=gettext_lazy("How much lies there, in its unit"), min_value=0, max_value=10_000)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        materials = sorted(load().materials.values(), key=lambda each: each.name)
        named = [(each.id, f"{each.name} ({each.unit})") for each in materials]
        self.fields["material"] = forms.ChoiceField(label=_("Material"), choices=named)
        self.order_fields(("material", "colour", "amount"))


# Prices.


@never_cache
@require_GET
@vary_on_headers("HX-Request")
def prices(request: HttpRequest) -> HttpResponse:
    """Own prices beside the built-in ones; packs by a word."""
    return _prices(request)


@require_POST
def price(request: HttpRequest) -> HttpResponse:
    """Note what a pack costs from today on, or put the built-in price back."""
    currency, pack = store.shop().currency, request.POST.get("pack", "")
    supplier = request.POST.get("supplier", "")
    if "put back" in request.POST:
        gone_from = request.POST.get("currency", currency)
        line = _("Built-in price again: %(what)s") % {"what": _pack_name(pack)}
        return _kept(
            request, "shop_book", line, lambda book: without_entries(book, "prices", pack=pack, currency=gone_from)
        )
    form = PriceForm(request.POST, currency=currency)
    if not form.is_valid():
        return _prices(request, wrong={f"{pack} {supplier}": form})
    noted = {
        "pack": pack, "supplier": supplier, "currency": currency, "price": form.cleaned_data["price"],
        "on": timezone.localdate(),
    }  # fmt: skip
    line = _("Price: %(what)s") % {"what": _pack_name(pack)}
    return _kept(request, "shop_book", line, lambda book: with_entry(book, "prices", noted))


@require_POST
def own_pack(request: HttpRequest) -> HttpResponse:
    """A pack of the shop's own with its first price; `gone` takes one out, prices and all."""
    gone = request.POST.get("gone", "")
    if gone:
        line = _("Pack taken out: %(what)s") % {"what": _pack_name(gone)}
        return _kept(
            request,
            "shop_book",
            line,
            lambda book: without_entries(without_entries(book, "prices", pack=gone), "packs", id=gone),
        )
    form = OwnPackForm(request.POST, currency=store.shop().currency, book=store.book())
    if not form.is_valid():
        return _prices(request, own_pack_form=form)
    told, currency, today = form.cleaned_data, store.shop().currency, timezone.localdate()

    def change(book: Book) -> Book:
        taken = {*(each.id for each in book.packs), *_listed_packs()}
        pack = free_id(id_from(f"{told['material']} {told['sold_as']}"), taken)
        size, words = told["size"], told["sold_as"]
        book = with_entry(book, "packs", {"id": pack, "material": told["material"], "sold_as": words, "size": size})
        paid = {"pack": pack, "supplier": told["supplier"], "currency": currency, "price": told["price"], "on": today}
        return with_entry(book, "prices", paid)

    return _kept(request, "shop_book", _("Own pack: %(what)s") % {"what": told["sold_as"]}, change)


# Sellers.


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sellers(request: HttpRequest) -> HttpResponse:
    """Every seller's terms; posted are those of one (`id`, empty for a new one), or `put back`."""
    if request.method != "POST":
        return _sellers(request)
    seller, currency = request.POST.get("id", ""), store.shop().currency
    if "put back" in request.POST:
        line = _("Built-in terms again: %(what)s") % {"what": own_figures.sellers_named(load(), Book()).get(seller, "")}
        return _kept(request, "sellers", line, lambda book: without_entries(book, "suppliers", id=seller))
    form = SellerForm(request.POST, currency=currency)
    if not form.is_valid():
        return _sellers(request, {seller: form})
    told = form.cleaned_data

    def change(book: Book) -> Book:
        taken = own_figures.sellers_named(load(), book)
        terms = {name: told[name] for name in ("name", "carriage", "free_over", "least_order")}
        days = (told["fewest"], told["usual"], told["most"])
        own = {"id": seller or free_id(id_from(told["name"]), taken), "currency": currency, "days": days, **terms}
        return with_entry(book, "suppliers", own)

    return _kept(request, "sellers", _("Seller: %(what)s") % {"what": told["name"]}, change)


# Rates, tools, shelf.


@never_cache
@require_GET
def shop(request: HttpRequest) -> HttpResponse:
    """What an hour is sold for, tools owned, what lies on the shelf."""
    return _shop(request)


@require_POST
def rate(request: HttpRequest) -> HttpResponse:
    """What an hour is sold for from today on; `gone` takes the rate of a day out."""
    currency = store.shop().currency
    if "gone" in request.POST:
        on = request.POST["gone"]

        def without(book: Book) -> Book:
            return book.changed(rates=[e for e in book.rates if (e.currency, e.on.isoformat()) != (currency, on)])

        return _kept(request, "shop", _("Rate taken out"), without)
    form = RateForm(request.POST, currency=currency)
    if not form.is_valid():
        return _shop(request, rate_form=form)
    noted = {"currency": currency, "hour": form.cleaned_data["hour"], "on": timezone.localdate()}
    return _kept(request, "shop", _("Rate for an hour"), lambda book: with_entry(book, "rates", noted))


@require_POST
def tools(request: HttpRequest) -> HttpResponse:
    """The tools that are ticked are owned, and no others."""
    owned = tuple(request.POST.getlist("tool"))
    return _kept(request, "shop", _("Tools owned"), lambda book: book.changed(tools=owned))


@require_POST
def shelf(request: HttpRequest) -> HttpResponse:
    """So much of a material lies on the shelf."""
    form = ShelfForm(request.POST)
    if not form.is_valid():
        return _shop(request, shelf_form=form)
    told = form.cleaned_data

    def change(book: Book) -> Book:
        if not told["amount"]:
            return without_entries(book, "stock", material=told["material"], colour=told["colour"])
        return with_entry(book, "stock", told)

    line = _("On the shelf: %(what)s") % {"what": load().materials[told["material"]].name}
    return _kept(request, "shop", line, change)


# What own jobs have shown.


@never_cache
@require_GET
def shown(request: HttpRequest) -> HttpResponse:
    """Hours, redos and finds of the shop's own jobs beside the built-in figures."""
    book = store.book()
    found = [each for each in differences(load(), book, timezone.localdate()) if each.what != "price"]
    context = {"figures": found, "learned": book.jobs, "jobs": store.jobs()}
    return render_tab(request, "shown", context)


@require_POST
def learn(request: HttpRequest) -> HttpResponse:
    """Take in what a job has shown and paid; a second time adds nothing."""
    row = store.record(request.POST.get("job", ""))
    job, today = store.job_at(row.key, row.revision), timezone.localdate()
    line = _("Learned from %(job)s") % {"job": job.name}
    return _kept(request, "shown", line, lambda book: planning.learned(book, job, today))


@require_POST
def forget(request: HttpRequest) -> HttpResponse:
    """Put a built-in figure back: what jobs have shown of it is taken out."""
    what, of = request.POST.get("what", ""), request.POST.get("of", "")
    fields = {
        "hours": ("timed", "treatment"),
        "redo": ("redone", "treatment"),
        "find": ("found", "find"),
        "life": ("held", "treatment"),
    }
    if what not in fields:
        raise BadInput(Problem(_("figure"), what, _("is none that jobs show."), _("Reload the page.")))
    field, name = fields[what]
    line = _("Built-in figure again: %(what)s") % {"what": of}
    return _kept(request, "shown", line, lambda book: without_entries(book, field, **{name: of}))


@never_cache
@require_GET
def revisions(request: HttpRequest) -> HttpResponse:
    """Every revision of the book, newest first."""
    return render_tab(request, "revisions", {"revisions": store.book_history()})


# What the pages stand on.


def render_tab(request: HttpRequest, tab: str, context: dict[str, Any], status: int = 200) -> HttpResponse:
    """A page of the book under its tabs."""
    tabs = {
        "prices": ("shop_book", _("Prices")),
        "sellers": ("sellers", _("Sellers")),
        "shop": ("shop", _("Rate, tools, shelf")),
        "treatments": ("own_treatments", _("Own treatments")),
        "shown": ("shown", _("What jobs have shown")),
        "revisions": ("book_revisions", _("History")),
    }
    told = {"tab": tab, "tabs": tabs.items(), "currency": store.shop().currency, **context}
    return render(request, f"jobs/shop_book/{tab}.html", told, status=status)


def _kept(request: HttpRequest, onward: str, line: str, change: Callable[[Book], Book]) -> HttpResponse:
    """Keep the book as `change` makes it, once everything in it is known, and go on to a page."""
    store.change_book(lambda book: sound(change(book), load()), device_of(request), line)
    messages.info(request, line)
    query = request.POST.get("q", "")
    response = redirect(onward)
    if query:
        response["Location"] += f"?{urlencode({'q': query})}"
    return response


def _prices(request: HttpRequest, **sent_back: Any) -> HttpResponse:
    book, currency, today = store.book(), store.shop().currency, timezone.localdate()
    query = " ".join((request.GET or request.POST).get("q", "").split())[:100]
    found = list(own_figures.packs_found(load(), book, currency, today, query)) if query else []
    context = {
        "figures": [each for each in differences(load(), book, today) if each.what == "price"],
        "query": query,
        "found": found[:MOST],
        "more": max(0, len(found) - MOST),
        "own_packs": book.packs,
        "wrong": {},
        "own_pack_form": OwnPackForm(currency=currency, book=book, auto_id="pack_%s"),
        **sent_back,
    }
    if request.headers.get("HX-Request"):
        return render(request, "jobs/shop_book/_packs.html", context | {"currency": currency})
    return render_tab(request, "prices", context, 422 if sent_back else 200)


def _sellers(request: HttpRequest, wrong: dict[str, forms.Form] | None = None) -> HttpResponse:
    currency, wrong = store.shop().currency, wrong or {}
    rows = [
        (each, wrong.get(each.id) or SellerForm(initial=_first(each), currency=currency, auto_id=f"{each.id}-%s"))
        for each in own_figures.terms_of(load(), store.book(), currency)
    ]
    new = wrong.get("") or SellerForm(currency=currency, initial={"fewest": 2, "usual": 5, "most": 10})
    return render_tab(request, "sellers", {"rows": rows, "new": new, "wrong": wrong}, 422 if wrong else 200)


def _first(terms: own_figures.SellerTerms) -> dict[str, Any]:
    """What stands in a seller's form before anybody types: the shop's own terms, else name and days of the table."""
    from trimwright.web.jobs.templatetags.trimwright import money

    known: Any = terms.own or terms.table
    first = {"name": terms.name, **dict(zip(("fewest", "usual", "most"), known.days, strict=True))}
    if terms.own:
        for name in ("carriage", "free_over", "least_order"):
            first[name] = money(getattr(terms.own, name), terms.own.currency)
    return first


def _shop(request: HttpRequest, **sent_back: Any) -> HttpResponse:
    book, currency, trade = store.book(), store.shop().currency, load()
    owned = set(book.tools)
    context = {
        "rates": sorted((each for each in book.rates if each.currency == currency), key=lambda each: each.on)[::-1],
        "rate_form": RateForm(currency=currency, auto_id="rate_%s"),
        "tools": [(each, each.id in owned) for each in trade.tools.values() if not each.hand_tool or each.id in owned],
        "stock": [(each, trade.materials.get(each.material)) for each in book.stock],
        "shelf_form": ShelfForm(auto_id="shelf_%s"),
        **sent_back,
    }
    return render_tab(request, "shop", context, 422 if sent_back else 200)


def _pack_name(pack: str) -> str:
    named = {each.id: f"{of.name}, {each.sold_as}" for of in load().materials.values() for each in of.packs}
    return named.get(pack) or next((each.sold_as for each in store.book().packs if each.id == pack), pack)


def _listed_packs() -> set[str]:
    return {each.id for of in load().materials.values() for each in of.packs}

"""The shop's base colours at the workbench: seen, taken in, taken out; and a mix kept, with the bottles it is of."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from trimwright.errors import BadInput
from trimwright.web.jobs import own_colours, store, workbench
from trimwright.web.jobs.devices import device_of
from trimwright.web.jobs.views.workbench import Standing, benches, page_of_a_bench


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def bases(request: HttpRequest) -> HttpResponse:
    """The bases and kept mixes; posted, one base more, or the same one anew."""
    form = own_colours.form({})
    if request.method == "POST":
        typed = {each.name: request.POST.get(each.name, "")[:2000] for each in own_colours.ASKS}
        try:
            store.change_book(lambda book: own_colours.with_base(book, typed), device_of(request), _("base colour"))
        except BadInput as error:
            form = own_colours.form(typed, error)
        else:
            messages.info(request, _("Kept."))
            return redirect("own_bases")
    bench = next(each for each in benches() if own_colours.BASES in each.questions)
    book = store.book()
    context = {"sheet": form, "bases": book.bases, "mixes": book.mixes, "long": own_colours.LONG}
    status = 422 if form.is_refused else 200
    return page_of_a_bench(request, "bases", Standing(), bench, own_colours.BASES, context, status=status)


@require_POST
def drop_base(request: HttpRequest) -> HttpResponse:
    """Take a base out."""
    gone = request.POST.get("base", "")
    store.change_book(lambda book: own_colours.without_base(book, gone), device_of(request), _("base colour taken out"))
    return redirect("own_bases")


@require_POST
def keep_mix(request: HttpRequest) -> HttpResponse:
    """Keep the mix whose lines the address carries."""
    typed = {
        each: request.GET[each][: workbench.MOST_TYPED] for each in request.GET if each not in ("ask", "job", "part")
    }
    mix, bottles = request.POST.get("id", "").strip(), request.POST.get("bottles", "").strip()[:200]
    on = timezone.localdate()
    store.change_book(
        lambda book: own_colours.with_mix(book, typed, mix, bottles, on), device_of(request), _("mix kept")
    )
    messages.info(
        request, _("Kept among the shop's mixes: its id stands for what is in the pot when a swatch is checked.")
    )
    return redirect("own_bases")

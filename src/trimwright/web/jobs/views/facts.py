"""The facts: every table of what the trade knows, searchable, each entry with how far to trust it and its source."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from trimwright.facts import load
from trimwright.facts.telling import entries, entry_lines, evidence_lines, tables, trust, what

MOST = 60
"""Entries shown of a search; more are counted."""


@require_GET
@vary_on_headers("HX-Request")
def facts(request: HttpRequest, table: str = "") -> HttpResponse:
    """All tables, or one; with `q` the entries whose id or words hold it."""
    if table and table not in tables():
        raise Http404(table)
    query = " ".join(request.GET.get("q", "").split())[:100]
    found = list(_found(query.casefold(), table)) if query or table else []
    context = {
        "tables": [{"id": each, "name": name(each), "count": len(_rows(each))} for each in tables()],
        "table": table,
        "table_name": name(table) if table else "",
        "query": query,
        "found": found[:MOST] if query else found,
        "more": max(0, len(found) - MOST) if query else 0,
    }
    template = "jobs/facts/_found.html" if request.headers.get("HX-Request") else "jobs/facts/facts.html"
    return render(request, template, context)


@require_GET
def fact(request: HttpRequest, table: str, entry: str) -> HttpResponse:
    """One entry, whole."""
    row = _rows(table).get(entry) if table in tables() else None
    if row is None:
        raise Http404(entry)
    context = {
        "table": table,
        "table_name": name(table),
        "entry": entry,
        "what": what(row) or entry,
        "lines": entry_lines(row),
        "evidence": evidence_lines(row, load()),
    }
    return render(request, "jobs/facts/fact.html", context)


def name(table: str) -> str:
    """What a table is called."""
    names = {
        "parts": _("Parts"),
        "faults": _("Faults"),
        "finds": _("Hidden faults"),
        "treatments": _("Treatments"),
        "materials": _("Materials"),
        "tools": _("Tools"),
        "suppliers": _("Sellers"),
        "glances": _("Looks worth taking"),
        "cautions": _("Cautions"),
        "practice": _("Rules of thumb"),
        "sources": _("Sources"),
        "families": _("Material families"),
        "usual_wear": _("Usual wear"),
    }
    return names.get(table, table.replace("_", " ").capitalize())


def _rows(table: str) -> Any:
    return entries(load(), table)


def _found(query: str, table: str) -> Any:
    """Entries by table, id and words."""
    for each in (table,) if table else tables():
        for entry, row in _rows(each).items():
            told = what(row)
            if query in entry.casefold() or query in told.casefold():
                yield {"table": each, "table_name": name(each), "id": entry, "what": told or entry, "trust": trust(row)}

"""How figures look on a page: money and time by locale, sizes by the job's units, the ten stitches."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Any

from django import template
from django.template.loader import render_to_string
from django.utils.formats import number_format

from trimwright import units
from trimwright.worked import plain

register = template.Library()

STITCHES = range(10)


@register.filter
def money(minor: int | None, currency: str) -> str:
    """A sum, whole units when there is nothing after the point."""
    if minor is None:
        return ""
    places = units.exponent(currency)
    value = Decimal(minor).scaleb(-places)
    whole = value == value.to_integral_value()
    return number_format(value, 0 if whole else places, use_l10n=True, force_grouping=True)


@register.filter
def about_money(minor: int | None, currency: str) -> str:
    """A sum to the nearest whole unit, where many stand together and a cent tells nothing."""
    if minor is None:
        return ""
    value = Decimal(minor).scaleb(-units.exponent(currency))
    return number_format(value.quantize(Decimal(1), ROUND_HALF_UP), 0, use_l10n=True, force_grouping=True)


@register.filter
def hours(minutes: int | None) -> str:
    """Minutes as hours and minutes."""
    return "" if minutes is None else units.hours(minutes)


@register.filter
def percent(share: float | None) -> str:
    """A share in whole per cent."""
    return "" if share is None else f"{number_format(round(share * 100), 0)} %"


@register.filter
def fine_percent(share: float | None) -> str:
    """A small share in per cent, two decimals."""
    return "" if share is None else f"{number_format(share * 100, 2)} %"


@register.filter
def figure(value: float | None) -> str:
    """A number as controls and drawings want it: a point, no grouping, no idle noughts."""
    return "" if value is None else plain(value)


@register.filter
def area(mm2: int | None, system: units.System) -> str:
    """An area in the job's units."""
    return "" if mm2 is None else units.area(mm2, system)


@register.filter
def amount_of(milli: int | None, unit: str) -> str:
    """Thousandths of a material's unit as an amount; nothing for none."""
    return units.amount(milli, unit) if milli else ""


@register.filter
def at(held: Mapping[str, Any], name: str) -> Any:
    """What a mapping holds under a name; None when it holds nothing there."""
    return held.get(name)


@register.simple_tag
def stitches(now: int | None, after: int | None = None) -> str:
    """The finish gauge: solid now, outlined where the plan adds, pale for the rest; the number beside it."""
    return _gauge(now, after if after != now else None)


@lru_cache
def _gauge(now: int | None, after: int | None) -> str:
    """Drawn once for every pair of figures: a page has a hundred of them."""
    solid, outlined = now or 0, max(now or 0, after or 0)
    marks = ["now" if each < solid else "after" if each < outlined else "rest" for each in STITCHES]
    drawn = [{"x": 2 + 10 * at, "mark": mark} for at, mark in enumerate(marks)]
    return render_to_string("jobs/_stitches.html", {"drawn": drawn, "now": now, "after": after})


@register.inclusion_tag("jobs/_money_bar.html")
def money_bar(money: dict[str, Any]) -> dict[str, Any]:
    """The bar of the money strip: firm, reserve and left as lengths of a bar 1000 long."""
    whole = max(1, money["sum"], money["firm"] + money["reserve"])
    firm = round(1000 * money["firm"] / whole)
    reserve = round(1000 * money["reserve"] / whole)
    return {"firm": firm, "reserve": reserve, "money": money}

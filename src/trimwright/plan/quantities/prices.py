"""Prices in the job's currency: what the sum covers, tax on top, everything in whole minor units.

What the sum does not cover costs 0. The facts know USD and EUR; any other currency needs a rate that the user
states. A guess known in USD alone is taken at par in EUR, as the two price lists hardly differ.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from trimwright.facts.trade import Price, Spread3
from trimwright.job.document import Covered, MoneyTerms
from trimwright.plan.quantities.cabin import Spread
from trimwright.units import exponent
from trimwright.worked import rounded_up


@dataclass(frozen=True, slots=True)
class Till:
    """The job's money: minor units for a hundredth of a USD and of a EUR, tax factor, what is covered."""

    currency: str
    usd_hundredth: float
    eur_hundredth: float
    tax: float
    covers: frozenset[Covered]

    def pays(self, *kinds: Covered) -> bool:
        """Whether the sum pays for any of these."""
        return any(kind in self.covers for kind in kinds)

    def taxed(self, minor: float, *kinds: Covered) -> int:
        """`minor` with tax, rounded up; 0 when none of `kinds` is covered."""
        return rounded_up(minor * self.tax) if self.pays(*kinds) else 0

    def limits(self, price: Price) -> tuple[float, float]:
        """Low and high of a price [minor], before tax; what the shop pays itself is known exactly."""
        if price.own is not None:
            return price.own, price.own
        if self.usd_hundredth:
            return price.usd[0] * self.usd_hundredth, price.usd[1] * self.usd_hundredth
        return price.eur[0] * self.eur_hundredth, price.eur[1] * self.eur_hundredth

    def middle(self, price: Price, *kinds: Covered) -> int:
        """The middle of a price of the facts, taxed."""
        low, high = self.limits(price)
        return self.taxed((low + high) / 2, *kinds)

    def spread_usd(self, usd: Spread3, *kinds: Covered, times: float = 1.0) -> Spread:
        """A three-point figure known in USD, taxed."""
        hundredth = self.usd_hundredth or self.eur_hundredth
        low, likely, high = (self.taxed(each * 100 * hundredth * times, *kinds) for each in usd)
        return Spread(low, likely, high)

    def spread(self, minor: Iterable[float], *kinds: Covered) -> Spread:
        """A three-point figure in the job's own currency, taxed."""
        low, likely, high = (self.taxed(each, *kinds) for each in minor)
        return Spread(low, likely, high)

    def find_money(self, usd: Spread3) -> Spread:
        """What a hidden fault costs beside its minutes: parts and materials alike."""
        return self.spread_usd(usd, "parts", "materials")


def till_of(money: MoneyTerms) -> Till:
    """The till of a job whose currency is priced in the facts or has a rate (`job.check` sees to that)."""
    minor = 10.0 ** exponent(money.currency) / 100
    tax = 1 + money.tax_percent / 100 if "tax" in money.covers else 1.0
    rates = {"USD": 1.0, "EUR": 1.0} if money.currency in ("USD", "EUR") else dict(money.rates)
    in_usd = money.currency != "EUR" and "USD" in rates
    return Till(
        currency=money.currency,
        usd_hundredth=minor * rates["USD"] if in_usd else 0.0,
        eur_hundredth=0.0 if in_usd else minor * rates["EUR"],
        tax=tax,
        covers=money.covers,
    )

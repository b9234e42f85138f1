"""Packs, stock, sellers and carriage: how what the courses use is bought in the verdict model."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from math import ceil
from typing import TYPE_CHECKING

from trimwright.plan.quantities.cabin import Course, Need, SupplierOffer
from trimwright.plan.verdicts import charges

if TYPE_CHECKING:
    from trimwright.plan.verdicts.model import VerdictModel


def _users(model: VerdictModel) -> Iterator[tuple[int, Iterable[Need]]]:
    for choices in model.choices.values():
        for choice in choices:
            yield choice.column, choice.course.needs
    for step in model.quantities.steps.values():
        yield model.steps[step.id], step.needs
    for item in model.quantities.shared.values():
        yield model.shared[item.id], item.needs


def buy_packs(model: VerdictModel) -> None:
    """Packs and stock cover what is used of each material; one batch comes from one supplier."""
    using: dict[str, dict[int, float]] = defaultdict(dict)
    for column, needs in _users(model):
        for need in needs:
            using[need.material][column] = using[need.material].get(column, 0.0) + need.milli
    for key, used in using.items():
        material = model.quantities.materials[key]
        most = max(0.0, _most_used(model, used) - material.stock_milli)
        row: dict[int, float] = {column: -amount for column, amount in used.items()}
        chosen: dict[str, int] = {}
        suppliers = {pack.supplier for pack in material.packs}
        if material.one_batch and len(suppliers) > 1:
            chosen = {supplier: model.column(f"w|{key}|{supplier}", integer=True) for supplier in sorted(suppliers)}
            model.program.row(dict.fromkeys(chosen.values(), 1.0), upper=1.0)
        for pack in material.packs:
            upper = ceil(most / pack.size_milli)
            column = model.column(
                f"n|{key}|{pack.id}",
                upper,
                integer=True,
                expected=charges.with_sundries(model.terms, pack.price),
                variance=pack.price_variance,
            )
            model.packs[key, pack.id] = column
            row[column] = float(pack.size_milli)
            if chosen:
                model.program.at_most([column], {chosen[pack.supplier]: float(upper)})
        model.program.row(row, lower=-float(material.stock_milli))
        _open_whole_packs(model, key, used)


def _open_whole_packs(model: VerdictModel, key: str, used: Mapping[int, float]) -> None:
    """Implied by whole packs, and what keeps the bound tight: a use beyond the stock opens at least so many."""
    material = model.quantities.materials[key]
    packs = {model.packs[key, pack.id]: 1.0 for pack in material.packs}
    largest = max(pack.size_milli for pack in material.packs)
    least = {column: ceil((amount - material.stock_milli) / largest) for column, amount in used.items()}
    for columns in _exclusive(model, least):
        opening = {column: -float(least[column]) for column in columns if least[column] > 0}
        if opening:
            model.program.row({**packs, **opening}, lower=0.0)


def _exclusive(model: VerdictModel, columns: Iterable[int]) -> Iterator[list[int]]:
    """`columns` in groups of which at most one is taken: the courses of one part; others alone."""
    wanted = set(columns)
    for choices in model.choices.values():
        group = [choice.column for choice in choices if choice.column in wanted]
        wanted.difference_update(group)
        if group:
            yield group
    yield from ([column] for column in sorted(wanted))


def _most_used(model: VerdictModel, used: Mapping[int, float]) -> float:
    """The most that could ever be used: the largest need of each part, and all steps and shared items."""
    most, left = 0.0, dict(used)
    for choices in model.choices.values():
        most += max((left.pop(choice.column, 0.0) for choice in choices), default=0.0)
    return most + sum(left.values())


def pay_carriage(model: VerdictModel) -> None:
    """A supplier asked once is paid carriage once, none above its free order; a small order is made up."""
    buying: dict[str, dict[int, float]] = defaultdict(dict)
    for key, material in model.quantities.materials.items():
        for pack in material.packs:
            if (key, pack.id) in model.packs:
                buying[pack.supplier][model.packs[key, pack.id]] = float(pack.price)
    asking = _asking(model)
    for supplier in model.quantities.suppliers.values():
        order = buying[supplier.id]
        if not order and not asking[supplier.id]:
            continue
        used = model.column(f"u|{supplier.id}", integer=True, expected=supplier.carriage)
        for columns in asking[supplier.id]:
            model.program.at_most(columns, {used: 1.0})
        for column in order:
            model.program.at_most([column], {used: max(1.0, model.program.upper[column])})
        if order and supplier.carriage and supplier.free_over:
            free = model.column(f"f|{supplier.id}", integer=True, expected=-supplier.carriage)
            model.program.at_most([free], {used: 1.0})
            model.program.row({**order, free: -float(supplier.free_over)}, lower=0.0)
        if order and supplier.least_order:
            _make_up_small_order(model, supplier, order)


def _asking(model: VerdictModel) -> dict[str, list[list[int]]]:
    """For each supplier, part by part, the columns of courses that cannot do without it."""
    asking: dict[str, list[list[int]]] = defaultdict(list)
    for choices in model.choices.values():
        by_supplier: dict[str, list[int]] = defaultdict(list)
        for choice in choices:
            for seller in _surely_asked(model, choice.course):
                by_supplier[seller].append(choice.column)
        for seller, columns in by_supplier.items():
            asking[seller].append(columns)
    return asking


def _surely_asked(model: VerdictModel, course: Course) -> set[str]:
    """Suppliers a course cannot do without: of its purchases, and of materials only they sell, beyond the stock."""
    asked = {purchase.supplier for purchase in course.purchases}
    for need in course.needs:
        material = model.quantities.materials[need.material]
        sellers = {pack.supplier for pack in material.packs}
        if len(sellers) == 1 and need.milli > material.stock_milli:
            asked |= sellers
    return asked


def _make_up_small_order(model: VerdictModel, supplier: SupplierOffer, order: Mapping[int, float]) -> None:
    ordered = model.column(f"a|{supplier.id}", integer=True)
    made_up = model.column(f"o|{supplier.id}", float(supplier.least_order), expected=1)
    for column in order:
        model.program.at_most([column], {ordered: max(1.0, model.program.upper[column])})
    model.program.row({**order, made_up: 1.0, ordered: -float(supplier.least_order)}, lower=0.0)

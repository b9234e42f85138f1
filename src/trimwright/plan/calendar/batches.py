"""What parts share: one mix for all of a colour and one clean of the gun after it, light before dark; pairs.

The minutes of a batch are those the verdicts paid for, once, however many parts use it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from itertools import combinations, pairwise

from trimwright.plan.calendar.deliveries import Coming
from trimwright.plan.calendar.drafts import Drafts
from trimwright.plan.calendar.off_the_car import Chain
from trimwright.plan.calendar.shop import Shop
from trimwright.plan.calendar.tasks import After, Task
from trimwright.plan.quantities.cabin import Shared

MIXING = 0.6
"""The share of a batch's minutes that goes before its first coat; the rest cleans the gun. Our own guess."""
LIGHT_TO_DARK = (
    "white", "ivory", "cream", "parchment", "pearl", "champagne", "sand", "beige", "biscuit", "linen", "silver",
    "yellow", "light", "pale", "straw", "camel", "tan", "caramel", "saddle", "cognac", "orange", "grey", "gray",
    "cinnamon", "olive", "red", "green", "blue", "brown", "tobacco", "chestnut", "burgundy", "oxblood", "chocolate",
    "navy", "dark", "charcoal", "anthracite", "graphite", "black",
)  # fmt: skip
"""Colours as people name them, light first: our own judgement. One that is not here stands in the middle."""


def batches(shop: Shop, drafts: Drafts, coming: Coming, chains: Mapping[str, Chain]) -> None:
    """A mix before the first coat and a clean after the last, for each batch; one gun's batches one after the other."""
    by_gun: defaultdict[str, list[tuple[str, str]]] = defaultdict(list)
    for key in shop.verdicts.shared:
        shared = shop.quantities.shared[key]
        users = [chain for chain in chains.values() if key in chain.course.once]
        if shared.what == "batch" and users:
            _, gun, colour = key.split(":", 2)
            by_gun[gun].append((colour, lay_out(key, gun, shared, users, shop, drafts, coming)))
    for laid in by_gun.values():
        for (_, before), (_, after) in pairwise(sorted(laid, key=lambda each: lightness(each[0]))):
            in_turn(before, after, drafts)


def lay_out(
    key: str, gun: str, shared: Shared, users: Iterable[Chain], shop: Shop, drafts: Drafts, coming: Coming
) -> str:
    """The two tasks of one batch around the coats of all its parts; the first of them."""
    planned = shop.planned(shared.minutes)
    mixing = round(planned * MIXING)
    colour = key.rpartition(":")[2]
    treatments = [each.id for each in shop.trade.treatments.values() if each.batch == gun]
    mix = drafts.add(
        Task(
            id=drafts.free(key), kind="batch", name=f"{shared.name}: mix for all its parts",
            minutes=shop.spread(mixing, 0.7, 1.6),
            batch=key, colour=colour, after=tuple(coming.of(key, shared.needs)),
        )
    )  # fmt: skip
    clean = drafts.add(
        Task(
            id=f"{mix}/clean", kind="batch", name=f"{shared.name}: clean the gun",
            minutes=shop.spread(planned - mixing, 0.7, 1.6), batch=key, colour=colour, after=(After(mix),),
        )
    )  # fmt: skip
    for chain in users:
        coats = chain.coats(treatments)
        uses = frozenset(material for each in treatments for material, _ in shop.trade.treatments[each].uses)
        drafts.link(mix, *coming.of(chain.course.part, chain.course.needs, uses))
        drafts.link(coats[0], After(mix))
        drafts.link(clean, After(coats[-1]))
        for each in coats:
            drafts.change(each, batch=key, colour=colour)
    return mix


def in_turn(before: str, after: str, drafts: Drafts) -> None:
    """The second batch once the gun is clean of the first, or the other way round where the parts ask for it."""
    if not drafts.would_circle(f"{before}/clean", after):
        drafts.link(after, After(f"{before}/clean"))
    elif not drafts.would_circle(f"{after}/clean", before):
        drafts.link(before, After(f"{after}/clean"))


def lightness(colour: str) -> tuple[float, str]:
    """How light a colour is by its name, light ones first.

    >>> sorted(["black", "sand", "mushroom", "dark blue"], key=lightness)
    ['sand', 'mushroom', 'dark blue', 'black']
    """
    found = [LIGHT_TO_DARK.index(word) for word in colour.lower().replace("-", " ").split() if word in LIGHT_TO_DARK]
    return (max(found) if found else len(LIGHT_TO_DARK) / 2, colour)


def pairs(shop: Shop, drafts: Drafts, chains: Mapping[str, Chain]) -> None:
    """Of two like parts treated alike the second goes quicker, and comes second; both keep to what was planned."""
    share = shop.trade.practice["pair_second"].value
    taken: set[str] = set()
    for one, other in combinations(chains.values(), 2):
        alike = [chain.course.part for chain in (one, other)]
        if taken.isdisjoint(alike) and is_pair(one, other, shop) and not drafts.would_circle(one.ids[0], other.ids[0]):
            taken.update(alike)
            drafts.link(other.ids[0], After(one.ids[0]))
            for first, second in zip(one.ids, other.ids, strict=True):
                quicken(first, second, share, drafts)


def is_pair(one: Chain, other: Chain, shop: Shop) -> bool:
    """Whether both are the same kind of part, at two places, by the same pieces of work."""
    parts = [shop.parts[chain.course.part] for chain in (one, other)]
    return (
        parts[0].kind.id == parts[1].kind.id
        and parts[0].part.place != parts[1].part.place
        and [piece.key for _, piece in one.pieces] == [piece.key for _, piece in other.pieces]
        and len(one.ids) == len(other.ids)
    )


def quicken(first: str, second: str, share: float, drafts: Drafts) -> None:
    """Minutes moved from the second of a pair to the first, so that the second takes `share` of it."""
    both = [drafts.tasks[each] for each in (first, second)]
    if any(not each.people for each in both):
        return
    whole = sum(each.minutes[1] for each in both)
    slower = round(whole / (1 + share))
    for task, likely in zip(both, (slower, whole - slower), strict=True):
        before = task.minutes[1]
        if before:
            low, high = (round(likely * each / before) for each in (task.minutes[0], task.minutes[2]))
            drafts.change(task.id, minutes=(min(low, likely), likely, max(high, likely)))

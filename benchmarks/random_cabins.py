"""Random cabins for the tests and the benchmarks: tangled on purpose, seeded, never the demo."""

from __future__ import annotations

import random

from trimwright.plan.quantities.cabin import (
    LEAVE,
    Course,
    Hidden,
    Line,
    MatchedSet,
    MaterialOffer,
    Need,
    Neighbours,
    PackOffer,
    PartOptions,
    Purchase,
    Quantities,
    Shared,
    Spread,
    Step,
    SupplierOffer,
    Terms,
)

KINDS = ("clean", "mend", "refinish", "re-cover", "fit used", "fit new")
LOOKS = {"clean": "original", "mend": "original", "refinish": "recoloured", "re-cover": "re-covered"}
CAUSES = ("damp", "sun", "wear", "earlier_work")


def random_cabin(
    seed: int, parts: int, *, courses: int = 6, sum_share: float = 0.35, labour: bool = False, sure: float = 0.9
) -> Quantities:
    """A cabin of `parts` parts with up to `courses` courses each beside leave; `sum_share` of what everything costs."""
    rng = random.Random(seed)
    materials = _materials(rng, max(3, parts // 2 + 5 if parts < 60 else 60))
    steps = _steps(rng, max(2, min(40, parts // 2)))
    shared = {
        f"tool{i}": Shared(f"tool{i}", f"tool {i}", "tool", rng.randrange(500, 15_000), 0)
        for i in range(max(2, min(20, parts // 5)))
    }
    shared |= {
        f"batch{i}": Shared(f"batch{i}", f"batch {i}", "batch", 0, rng.randrange(10, 60))
        for i in range(max(1, parts // 20))
    }
    hidden = {
        f"find{i}": Hidden(
            f"find{i}",
            f"find {i}",
            chance := rng.uniform(0.05, 0.6),
            0.19 if 0.15 < chance < 0.85 else 0.1,
            Spread(rng.randrange(200, 1500), rng.randrange(1500, 4000), rng.randrange(4000, 20_000)),
            Spread(20, 60, 240),
            rng.choice(CAUSES),  # type: ignore[arg-type]
            False,
            certain=rng.random() < 0.1,
        )
        for i in range(max(2, parts // 3))
    }
    options: list[PartOptions] = []
    for number in range(parts):
        options.append(_part(rng, number, options, courses, materials, steps, shared, hidden))
    neighbours = tuple(
        Neighbours(f"p{i}", f"p{i + 1}", 2, rng.randrange(10, 80)) for i in range(parts - 1) if rng.random() < 0.4
    )
    sets = tuple(
        MatchedSet(
            f"set {i}", tuple(f"p{k}" for k in rng.sample(range(parts), min(parts, rng.randint(2, 4)))), 1, 40, 60
        )
        for i in range(max(1, parts // 15))
    )
    everything = sum(max(_rough(course, materials) for course in part.courses) for part in options)
    return Quantities(
        terms=Terms(
            currency="EUR",
            sum=max(5_000, int(everything * sum_share)),
            sure=sure,
            minutes=int(sum(max(course.minutes for course in part.courses) for part in options) * 0.8) + 600,
            years=3.0,
            talk_share=0.2,
            hours_factor=1.1,
            hours_spread=0.25,
            labour_per_hour=2_000 if labour else 0,
            sundries_share=0.04,
            floor_points=300,
            correlation=0.3,
            hunt_minutes=45,
        ),
        parts=tuple(options),
        steps=steps,
        hidden=hidden,
        shared=shared,
        materials=materials,
        suppliers={
            f"s{i}": SupplierOffer(
                f"s{i}", f"supplier {i}", 900 + 300 * i, 9_000 if i % 2 else 0, 2_000 if i == 2 else 0, (1, 3, 7)
            )
            for i in range(4)
        },
        lines=(Line("photographs", "photographs and labels", 600, 60),),
        sets=sets,
        neighbours=neighbours,
    )


def _materials(rng: random.Random, number: int) -> dict[str, MaterialOffer]:
    offers = {}
    for i in range(number):
        size = rng.choice((250, 500, 1000, 5000))
        price = rng.randrange(500, 6_000)
        packs = [PackOffer(f"m{i}a", "small", size, price, (price * 0.2) ** 2 / 6, f"s{rng.randrange(4)}", "guess")]
        if rng.random() < 0.5:
            packs.append(
                PackOffer(
                    f"m{i}b",
                    "large",
                    size * 4,
                    int(price * 2.7),
                    (price * 0.5) ** 2 / 6,
                    f"s{rng.randrange(4)}",
                    "guess",
                )
            )
        offers[f"m{i}"] = MaterialOffer(
            f"m{i}",
            f"m{i}",
            "",
            f"material {i}",
            "L",
            tuple(packs),
            rng.choice((0, 0, 0, 200)),
            one_batch=rng.random() < 0.2,
        )
    return offers


def _steps(rng: random.Random, number: int) -> dict[str, Step]:
    return {
        f"step{i}": Step(
            f"step{i}",
            f"step {i}",
            tuple(f"step{k}" for k in range(i) if rng.random() < min(0.15, 2 / (i + 1))),
            rng.randrange(5, 60),
        )
        for i in range(number)
    }


def _part(
    rng: random.Random,
    number: int,
    before: list[PartOptions],
    courses: int,
    materials: dict[str, MaterialOffer],
    steps: dict[str, Step],
    shared: dict[str, Shared],
    hidden: dict[str, Hidden],
) -> PartOptions:
    name = f"p{number}"
    now = rng.randint(1, 7)
    weight = rng.choice((0.5, 1, 2, 3, 4, 6)) * rng.uniform(0.7, 1.5)
    supports = (
        tuple(rng.sample([part.part for part in before[-6:] if not part.rests_on], 1))
        if before and rng.random() < 0.15
        else ()
    )
    supports = tuple(each for each in supports if not next(p for p in before if p.part == each).rests_on)
    bearings = (10, 4) if supports else (10,)

    def course(index: int, kind: str, finish: int) -> Course:
        held = rng.uniform(0.85, 1.0)
        at = tuple(min(finish, max(bearing, now)) if kind != "leave" else now for bearing in bearings)
        mine = rng.sample(sorted(materials), min(len(materials), rng.randint(1, 4))) if kind != "leave" else []
        bought = kind.startswith("fit")
        return Course(
            id=LEAVE if kind == "leave" else f"{kind.replace(' ', '_')}{index}",
            part=name,
            name=kind,
            kind=kind,  # type: ignore[arg-type]
            treatments=(kind,),
            finish_at=at,
            points_at=tuple(
                round(weight * 10 * value * held) if kind != "leave" else round(weight * 9 * now) for value in at
            ),
            redo_at=tuple(sorted(rng.choice((0.05, 0.15, 0.3)) if kind != "leave" else 0.0 for _ in at)),
            bears=10 if kind != "leave" else rng.choice((4, 10)),
            life_years=5,
            kept=1,
            look=LOOKS.get(kind, "bought" if bought else "original"),  # type: ignore[arg-type]
            minutes=0 if kind == "leave" else rng.randrange(10, 400),
            needs=tuple(Need(each, rng.randrange(20, 900)) for each in mine),
            purchases=(
                (
                    Purchase(
                        "part",
                        "used",
                        f"s{rng.randrange(4)}",
                        Spread(low := rng.randrange(500, 8_000), low * 1.5, low * 3),
                        (1, 5, 20),
                        "guess",
                    ),
                )
                if bought
                else ()
            ),
            once=tuple(rng.sample(sorted(shared), rng.randint(0, 2))) if kind != "leave" else (),
            steps=tuple(rng.sample(sorted(steps), rng.randint(0, 2))) if kind != "leave" else (),
            finds=tuple(rng.sample(sorted(hidden), rng.randint(0, 1))) if kind != "leave" else (),
            redo_money=rng.randrange(100, 2_000) if kind != "leave" else 0,
        )

    chosen = [course(0, "leave", now)]
    chosen += [
        course(i + 1, rng.choice(KINDS), min(10, now + rng.randint(1, 6))) for i in range(rng.randint(1, courses))
    ]
    return PartOptions(
        part=name,
        name=f"part {number}",
        zone=f"zone {number % 6}",
        weight=weight,
        finish_now=now,
        courses=tuple(chosen),
        rests_on=supports,
        bearings=bearings,
        floor=rng.choice((None, None, None, 5)),
    )


def _rough(course: Course, materials: dict[str, MaterialOffer]) -> float:
    packs = sum(min(pack.price for pack in materials[need.material].packs) for need in course.needs)
    return packs * 0.5 + sum(purchase.price.mean for purchase in course.purchases)

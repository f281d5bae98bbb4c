"""Small random farms for the match: few lots, short windows, every rule now and then."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Choice, Product
from haulm.farm.varieties import FieldLife, Stage
from haulm.farm.words import Form, LineClass, Role
from haulm.matching.supply import Block, Keeping, Lot, Pool, ProductKeeping, Supply

TODAY = date(2027, 6, 14)
STAGES = (Stage("young", "cream", 0, 1), Stage("mature", "tan", 2, 4))


@dataclass(frozen=True)
class RandomFarm:
    """Lines, supply and rules that belong together."""

    lines: tuple[DatedLine, ...]
    supply: Supply
    keeping: Keeping


def random_farm(dice: random.Random, *, seasons: int = 2, least_lines: int = 2, most_lines: int = 9) -> RandomFarm:
    """A farm of one to four products: field stems, cut stock, dried stems, stages, lengths, choices and minimums."""
    products = [Product(name, dice.choice((Form.FRESH,) * 4 + (Form.DRIED,))) for name in "abcd"[: dice.randint(1, 4)]]
    kept = {product: _product_keeping(dice) for product in products}
    weekdays = dice.choice(({1, 4}, {1}, {1, 3, 5}, {1, 2, 3, 4, 5, 6, 7}))
    keeping = Keeping(frozenset(weekdays), TODAY, dice.randint(0, 1), kept)
    pools = tuple(
        Pool(product, length, _blocks(dice, seasons))
        for product in products
        for length in sorted(dice.sample((0, 30, 50), dice.randint(1, 2)))
    )
    weights = np.array([dice.randint(1, 4) for _ in range(seasons)], np.float64)
    lines = tuple(_line(dice, products, number) for number in range(dice.randint(least_lines, most_lines)))
    return RandomFarm(lines, Supply(pools, seasons, weights / weights.sum()), keeping)


def _product_keeping(dice: random.Random) -> ProductKeeping:
    stages = STAGES if dice.random() < 0.5 else ()
    role = dice.choice((Role.ACCENT, Role.FILLER))
    return ProductKeeping(
        dice.randint(1, 7), FieldLife(dice.randint(0, 5), stages), role, dice.choice(("white", "pink", None))
    )


def _blocks(dice: random.Random, seasons: int) -> tuple[Block, ...]:
    standing = tuple(Lot(_day(dice, -4, 14), usable_until=_until(dice), key=str(n)) for n in range(dice.randint(0, 6)))
    cut = tuple(
        Lot(ready, ready + timedelta(days=dice.randint(0, 4)), _until(dice), f"cut{n}")
        for n, ready in enumerate(_day(dice, -8, -1) for _ in range(dice.randint(0, 2)))
    )
    field = [[dice.choice((0, 1, 2, 5)) for _ in range(seasons)] for _ in standing]
    known = [[dice.randint(1, 4)] for _ in cut]
    return (
        Block(standing, np.array(field, np.int32).reshape(len(standing), seasons)),
        Block(cut, np.array(known, np.int32).reshape(len(cut), 1)),
    )


def _line(dice: random.Random, products: list[Product], number: int) -> DatedLine:
    is_choice = dice.random() < 0.2
    wanted = dice.choice(list(LineClass))
    stems = dice.randint(1, 8)
    return DatedLine(
        line=f"l{number}",
        order=f"o{number % 3}",
        customer="somebody",
        due=_day(dice, 0, 15),
        stems=stems,
        line_class=wanted,
        class_rank=list(LineClass).index(wanted),
        committed_on=TODAY - timedelta(days=dice.randint(0, 3)),
        product=None if is_choice else dice.choice(products),
        choice=_choice(dice) if is_choice else None,
        minimum=dice.randint(1, stems) if dice.random() < 0.3 else 0,
        substitutes=tuple(dice.choice(products) for _ in range(dice.randint(0, 2))) if dice.random() < 0.5 else (),
        stage=dice.choice(("young", "mature", None, None)),
        min_length_cm=dice.choice((0, 0, 20, 40)),
        max_each=dice.randint(1, 4) if is_choice and dice.random() < 0.5 else None,
        max_age_days=dice.choice((None, None, None, 1, 3)),
        is_spare=wanted is LineClass.SPARE,
    )


def _choice(dice: random.Random) -> Choice:
    forms = dice.choice(((Form.FRESH,), (Form.FRESH, Form.DRIED)))
    return Choice(dice.choice(((), (Role.ACCENT,))), dice.choice(((), ("white", "pink"))), forms)


def _day(dice: random.Random, first: int, last: int) -> date:
    return TODAY + timedelta(days=dice.randint(first, last))


def _until(dice: random.Random) -> date | None:
    return _day(dice, 0, 15) if dice.random() < 0.15 else None

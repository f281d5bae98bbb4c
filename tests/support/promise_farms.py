"""Random promises on small farms, one after another: orders of every kind with spares, choices, minimums, two levels.

Between promises orders are let go, and the seasons are drawn anew; some promises are made in spite of a refusal.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Choice, Product
from haulm.farm.words import Form, LineClass, Role
from haulm.matching.supply import Block, FloatArray, Supply
from support.promise_judge import Asked, Book, Standing
from support.promise_match import Ground
from support.random_farms import TODAY, RandomFarm, random_farm

SEASONS = 20
LEVELS = (0.5, 0.8)
USUAL = {LineClass.WEDDING: 0.8, LineClass.STANDING: 0.65, LineClass.ONE_OFF: 0.65, LineClass.STALL: 0.5}
CONTRACTED = tuple(USUAL)


@dataclass(frozen=True, eq=False)
class Step:
    """One promise asked of a farm: what stood before, what would stand, and the floors then.

    Attributes:
        farm: supply and rules, with the lines that stood before.
        after: the lines with the promise in its place.
        asked: what is asked.
        ground: the farm's supply as the judge sees it.
        book: the judge's floors before the promise, as they stay.
        is_moved: whether anything else has happened since the promise asked before.
    """

    farm: RandomFarm
    after: tuple[DatedLine, ...]
    asked: Asked
    ground: Ground
    book: Book
    is_moved: bool

    @property
    def before(self) -> tuple[DatedLine, ...]:
        """The lines that stood before."""
        return self.farm.lines

    @property
    def new(self) -> tuple[DatedLine, ...]:
        """The lines promised anew, spare left out."""
        return tuple(
            line for line in self.after if not line.is_spare and self.asked.is_own((line.order, line.due, line.line))
        )

    def asking(self, stems: int) -> tuple[DatedLine, ...]:
        """The lines after, were the one new line for so many stems."""
        (new,) = self.new
        return tuple(
            replace(line, stems=stems, minimum=min(line.minimum, stems)) if line is new else line for line in self.after
        )


@dataclass
class History:
    """A farm that is asked for one promise after another; whoever plays it says which were made."""

    dice: random.Random
    farm: RandomFarm
    book: Book
    promises: int

    def steps(self) -> Iterator[Step]:
        """Each promise as it is asked; `made` or `overridden` says what came of it."""
        for number in range(self.promises):
            is_moved = number > 0 and self.dice.random() < 0.4
            if is_moved:
                self._something_else()
            ground = Ground(self.farm.supply, self.farm.keeping)
            asked, after = self._changed(ground) if self.dice.random() < 0.2 else self._new(f"p{number}")
            yield Step(self.farm, after, asked, ground, Book(self.book.accounts), is_moved)

    def made(self, step: Step) -> None:
        """The promise was accepted."""
        self.farm = replace(self.farm, lines=step.after)
        self.book.promised(Standing(step.ground, step.after), step.asked)

    def refused(self, step: Step) -> bool:
        """The promise was refused; now and then the owner makes it all the same."""
        is_overridden = self.dice.random() < 0.25
        if is_overridden:
            self.farm = replace(self.farm, lines=step.after)
            self.book.overridden(Standing(step.ground, step.after), step.asked)
        return is_overridden

    def _something_else(self) -> None:
        """An order is let go, or the seasons are others: no accepted promise."""
        lines = self.farm.lines
        orders = sorted({line.order for line in lines})
        if orders and self.dice.random() < 0.4:
            gone = self.dice.choice(orders)
            self.farm = replace(self.farm, lines=tuple(line for line in lines if line.order != gone))
        else:
            self.farm = replace(self.farm, supply=_weathered(self.dice, self.farm.supply))
        self.book.moved(Standing(Ground(self.farm.supply, self.farm.keeping), self.farm.lines))

    def _new(self, order: str) -> tuple[Asked, tuple[DatedLine, ...]]:
        """A new order; a row of a standing order need not be sure itself."""
        lines = an_order(self.dice, self.farm, order)
        is_row = lines[0].line_class is LineClass.STANDING
        level = None if is_row else max(line.level for line in lines if not line.is_spare)
        return Asked(order, level), (*self.farm.lines, *lines)

    def _changed(self, ground: Ground) -> tuple[Asked, tuple[DatedLine, ...]]:
        """A line of an order asks more."""
        lines = [line for line in self.farm.lines if not line.is_spare]
        if not lines:
            return self._new("q0")
        old = self.dice.choice(lines)
        new = replace(old, stems=old.stems + self.dice.randint(1, 2))
        level = None if old.line_class is LineClass.STANDING else old.level
        asked = Asked(old.order, level, frozenset({(old.line, old.due)}))
        return asked, tuple(new if line is old else line for line in self.farm.lines)


def random_history(dice: random.Random, *, promises: int) -> History:
    """A farm without a line, about to be asked for so many promises."""
    farm = replace(random_farm(dice, seasons=SEASONS), lines=())
    plenty = tuple(replace(pool, blocks=tuple(_grown(block) for block in pool.blocks)) for pool in farm.supply.pools)
    supply = Supply(plenty, SEASONS, _weights(dice))
    return History(dice, replace(farm, supply=supply), Book(), promises)


def _grown(block: Block) -> Block:
    return Block(block.lots, np.asarray(block.stems * 3, np.int32))


def _weathered(dice: random.Random, supply: Supply) -> Supply:
    """The same lots with a stem or two more or fewer in each season, some weighing more than before."""
    pools = tuple(
        replace(pool, blocks=tuple(_weathered_block(dice, block) for block in pool.blocks)) for pool in supply.pools
    )
    return Supply(pools, supply.seasons, _weights(dice))


def _weights(dice: random.Random) -> FloatArray:
    """Seasons of which some weigh less than a point, so that a promise may take what nobody would notice."""
    weights = np.array([dice.choice((1, 2, 40, 80)) for _ in range(SEASONS)], np.float64)
    return weights / weights.sum()


def _weathered_block(dice: random.Random, block: Block) -> Block:
    rows, columns = block.stems.shape
    change = [[dice.choice((-2, -1, 0, 0, 1, 3)) for _ in range(columns)] for _ in range(rows)]
    moved = block.stems + np.array(change, np.int32).reshape(rows, columns)
    return Block(block.lots, np.maximum(moved, 0).astype(np.int32))


def an_order(dice: random.Random, farm: RandomFarm, order: str) -> tuple[DatedLine, ...]:
    """A wedding, a weekly order of two weeks, a one-off, a hold or the stall's, of one to three lines with spares."""
    wanted = dice.choice((*CONTRACTED, LineClass.WEDDING, LineClass.ONE_OFF, LineClass.HOLD))
    due = TODAY + timedelta(days=dice.randint(1, 12))
    days = [due, due + timedelta(days=7)] if wanted is LineClass.STANDING else [due]
    level = dice.choice((*LEVELS, None)) if wanted is not LineClass.STANDING else None
    usual = USUAL.get(wanted, 0.8)
    lines: list[DatedLine] = []
    for number in range(dice.choice((1, 1, 2, 2, 3))):
        asks = _asks(dice, sorted(farm.keeping.products))
        one = replace(_line(order, number, wanted, days[0]), promised_confidence=level, usual_level=usual, **asks)
        lines += [replace(one, due=day) for day in days]
        if wanted not in (LineClass.STANDING, LineClass.HOLD) and dice.random() < 0.5:
            lines.append(_spare_of(one, dice.randint(1, 3)))
    return tuple(lines)


def _line(order: str, number: int, wanted: LineClass, due: date) -> DatedLine:
    rank = list(LineClass).index(wanted)
    return DatedLine(f"{order}-{number}", order, "somebody", due, 1, wanted, rank, TODAY, Product("any"))


def _spare_of(line: DatedLine, stems: int) -> DatedLine:
    spare = LineClass.SPARE
    rank = list(LineClass).index(spare)
    return replace(
        line, stems=stems, minimum=0, line_class=spare, class_rank=rank, is_spare=True, promised_confidence=None
    )


def _asks(dice: random.Random, products: list[Product]) -> dict[str, object]:
    stems, is_choice = dice.randint(1, 6), dice.random() < 0.25
    return {
        "stems": stems,
        "product": None if is_choice else dice.choice(products),
        "choice": Choice(dice.choice(((), (Role.ACCENT,))), (), (Form.FRESH, Form.DRIED)) if is_choice else None,
        "minimum": dice.randint(1, stems) if dice.random() < 0.3 else 0,
        "substitutes": (dice.choice(products),) if dice.random() < 0.4 else (),
        "stage": dice.choice(("young", None, None, None, None)),
        "min_length_cm": dice.choice((0, 0, 0, 20)),
        "max_each": dice.randint(1, 4) if is_choice and dice.random() < 0.5 else None,
        "max_age_days": dice.choice((None, None, None, 3)),
    }

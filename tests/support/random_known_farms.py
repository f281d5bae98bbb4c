"""Random farms of known stems, told twice: as a folder a grower could have typed, and as lines and lots for a judge.

The second telling is made from the dice, not from the folder, so that it shares no code with demand and planning.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Choice, Product
from haulm.farm.varieties import FieldLife
from haulm.farm.words import Form, LineClass, Role
from haulm.matching.supply import Block, Keeping, Lot, Pool, ProductKeeping, Supply
from support.farms import grower_folder
from support.random_farms import STAGES, RandomFarm

TODAY = date(2027, 6, 14)
CLASS_OF_KIND = {"wedding": LineClass.WEDDING, "one_off": LineClass.ONE_OFF, "stall": LineClass.STALL}
LEVELS = {"wedding": 0.8, "standing": 0.65, "one_off": 0.65, "stall": 0.5}
"""How sure each kind must be on a farm that says nothing else, as the model page has it."""
STAGES_TEXT = "|".join(f"{stage.name}:{stage.colour}:{stage.from_day}-{stage.to_day}" for stage in STAGES)
Row = dict[str, Any]


@dataclass
class TwiceTold:
    """A farm as folder rows and as the judge's values; `names` leads from the judge's line to the service's."""

    tables: dict[str, list[Row]] = field(default_factory=dict)
    lines: list[DatedLine] = field(default_factory=list)
    names: dict[str, tuple[str, str, bool]] = field(default_factory=dict)
    kept: dict[Product, ProductKeeping] = field(default_factory=dict)
    lots: dict[tuple[Product, int], list[tuple[Lot, int]]] = field(default_factory=dict)

    def row(self, table: str, **values: Any) -> None:
        """One more row of a table of the folder."""
        self.tables.setdefault(table, []).append({name: "" if v is None else v for name, v in values.items()})

    @property
    def folder(self) -> dict[str, bytes]:
        """The folder's files."""
        return grower_folder(**{name: _csv(rows) for name, rows in self.tables.items()})

    @property
    def farm(self) -> RandomFarm:
        """The judge's farm: one season, cut on Mondays and Thursdays, one day of drinking."""
        pools = tuple(
            Pool(product, length, (Block(tuple(lot for lot, _ in lots), np.array([[n] for _, n in lots], np.int32)),))
            for (product, length), lots in sorted(self.lots.items())
        )
        return RandomFarm(
            tuple(self.lines), Supply(pools, 1, np.ones(1)), Keeping(frozenset({1, 4}), TODAY, 1, self.kept)
        )


def random_known_farm(dice: random.Random) -> TwiceTold:
    """Two to four varieties, up to ten counts of stems, a standing order with a change, and up to five dated orders."""
    told = TwiceTold()
    varieties = "abcd"[: dice.randint(2, 4)]
    for key in varieties:
        _variety(told, dice, key)
    for number in range(dice.randint(3, 10)):
        _stock(told, dice, f"k{number}", dice.choice(varieties))
    told.row("customers", key="c", name="C")
    _standing(told, dice, varieties)
    for number in range(dice.randint(1, 5)):
        _order(told, dice, f"o{number}", varieties)
    return told


def _variety(told: TwiceTold, dice: random.Random, key: str) -> None:
    hold, stand, staged = dice.randint(2, 7), dice.randint(0, 5), dice.random() < 0.4
    role, colour = dice.choice((Role.ACCENT, Role.FILLER)), dice.choice(("white", "pink"))
    stages = STAGES_TEXT if staged else None
    told.row("varieties", key=key, name=key, role=role, colour=colour, hold_days=hold, stand_days=stand, stages=stages)
    for form in Form:
        told.kept[Product(key, form)] = ProductKeeping(hold, FieldLife(stand, STAGES if staged else ()), role, colour)


def _stock(told: TwiceTold, dice: random.Random, key: str, variety: str) -> None:
    form = dice.choice((Form.FRESH,) * 4 + (Form.DRIED,))
    ready, stems, length = _day(dice, -4, 12), dice.randint(1, 9), dice.choice((None, 30, 50))
    cut = ready + timedelta(days=dice.randint(0, 3)) if form is Form.FRESH and dice.random() < 0.3 else None
    until = (cut or ready) + timedelta(days=dice.randint(1, 9)) if dice.random() < 0.2 else None
    product = Product(variety, form)
    told.row(
        "known_stems",
        key=key,
        product=product,
        ready_date=ready,
        stems=stems,
        cut_date=cut,
        length_cm=length,
        usable_until=until,
    )
    told.lots.setdefault((product, length or 0), []).append((Lot(ready, cut, until, key), stems))


def _standing(told: TwiceTold, dice: random.Random, varieties: str) -> None:
    committed = dice.choice((None, _day(dice, -90, -1)))
    told.row(
        "standing_orders",
        key="s",
        customer="c",
        weekday="thu",
        first_week="2027-W24",
        last_week="2027-W26",
        committed_on=committed,
    )
    weeks = [("2027-W24", date(2027, 6, 17)), ("2027-W25", date(2027, 6, 24)), ("2027-W26", date(2027, 7, 1))]
    changed = dice.choice((None, 0, 3, 12))
    if changed is not None:
        told.row("changes", key="x", order="s", week="2027-W25", stems=changed)
    for number in range(dice.randint(1, 2)):
        asks = _asks(dice, varieties)
        told.row("standing_lines", key=f"s-{number}", order="s", **_columns(asks))
        for week, due in weeks:
            stems = changed if changed is not None and week == "2027-W25" else asks["stems"]
            minimum = min(asks["minimum"], stems)
            if stems:
                asked = {**asks, "stems": stems, "minimum": minimum, "usual_level": LEVELS["standing"]}
                _line(told, f"s-{number}", asked, ("s", due, LineClass.STANDING, committed))


def _order(told: TwiceTold, dice: random.Random, key: str, varieties: str) -> None:
    kind, status = dice.choice(list(CLASS_OF_KIND)), dice.choice(("contracted", "contracted", "on_hold", "quoted"))
    due, committed = _day(dice, 1, 14), dice.choice((None, _day(dice, -60, 0)))
    until = TODAY + timedelta(days=dice.randint(-1, 1)) if status == "on_hold" else None
    refused = dice.choice(varieties) if dice.random() < 0.2 else None
    told.row(
        "orders",
        key=key,
        customer="c",
        kind=kind,
        due_date=due,
        committed_on=committed,
        status=status,
        hold_until=until,
        unacceptable=refused,
    )
    line_class = CLASS_OF_KIND[kind] if status == "contracted" else LineClass.HOLD
    for number in range(dice.randint(1, 2)):
        asks, spare = _asks(dice, varieties), dice.choice((0, 0, 3))
        told.row("order_lines", key=f"{key}-{number}", order=key, spare=spare, **_columns(asks))
        if status == "quoted" or (until is not None and until < TODAY):
            continue
        asks["usual_level"] = LEVELS[kind]
        asks["substitutes"] = tuple(p for p in asks["substitutes"] if p.variety != refused)
        if asks["choice"] is not None and refused is not None:
            asks["choice"] = Choice(asks["choice"].roles, asks["choice"].colours, asks["choice"].forms, (refused,))
        _line(told, f"{key}-{number}", asks, (key, due, line_class, committed))
        if spare and status == "contracted":
            extra = {**asks, "stems": spare, "minimum": 0}
            _line(told, f"{key}-{number}", extra, (key, due, LineClass.SPARE, committed))


def _asks(dice: random.Random, varieties: str) -> dict[str, Any]:
    """What a line asks, as the nouns have it."""
    is_choice = dice.random() < 0.3
    stems = dice.randint(1, 12)
    products = [Product(key, form) for key in varieties for form in (Form.FRESH, Form.FRESH, Form.DRIED)]
    own = None if is_choice else dice.choice(products)
    others = dict.fromkeys(dice.choice(products) for _ in range(dice.choice((0, 0, 1, 2))))
    forms = dice.choice(((Form.FRESH,), (Form.FRESH, Form.DRIED)))
    choice = Choice(dice.choice(((), (Role.ACCENT,))), dice.choice((("white",), ("white", "pink"))), forms)
    stages = dict.fromkeys(("young", "mature", None, None, None)) if is_choice else {None: None}
    return {
        "stems": stems,
        "product": own,
        "choice": choice if is_choice else None,
        "minimum": dice.randint(1, stems) if dice.random() < 0.3 else 0,
        "substitutes": tuple(product for product in others if product != own),
        "stage": dice.choice(list(stages)),
        "min_length_cm": dice.choice((0, 0, 20, 40)),
        "max_each": dice.randint(1, 6) if is_choice and dice.random() < 0.5 else None,
        "max_age_days": dice.choice((None, None, 2, 4)),
    }


def _columns(asks: dict[str, Any]) -> Row:
    return {**asks, "substitutes": "|".join(map(str, asks["substitutes"]))}


def _line(told: TwiceTold, key: str, asks: dict[str, Any], place: tuple[str, date, LineClass, date | None]) -> None:
    order, due, line_class, committed = place
    is_spare = line_class is LineClass.SPARE
    name = f"{key}@{due}{'+' if is_spare else ''}"
    told.names[name] = (key, due.isoformat(), is_spare)
    told.lines.append(
        DatedLine(
            line=name,
            order=order,
            customer="c",
            due=due,
            line_class=line_class,
            class_rank=list(LineClass).index(line_class),
            committed_on=committed or date.max,
            is_spare=is_spare,
            **asks,
        )
    )


def _day(dice: random.Random, first: int, last: int) -> date:
    return TODAY + timedelta(days=dice.randint(first, last))


def _csv(rows: list[Row]) -> str:
    names = list(rows[0])
    return "\n".join([",".join(names), *(",".join(str(row[name]) for name in names) for row in rows)])

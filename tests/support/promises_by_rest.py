"""A random farm of known stems asked for promises by REST, and told to the judge from the same dice."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Choice, Product
from haulm.farm.words import Form, LineClass, Role
from support.door import Door
from support.promise_judge import Asked, Book, Named, Ruling, Standing, Thing, may_promise_faults, ruling
from support.promise_match import Ground
from support.random_known_farms import CLASS_OF_KIND, TODAY, TwiceTold

LEVELS = (0.6, 0.9)
MOST = 60
LAST_KEY = "q9999"
"""A key behind those of all quotes made before, as that of a quote made now would be."""


@dataclass(frozen=True)
class Wanted:
    """A quote: its kind, day and lines, each as REST is sent it and as the judge has it."""

    kind: str
    due: date
    lines: tuple[tuple[dict[str, Any], dict[str, Any]], ...]

    def dated(self, order: str, *, is_hold: bool, level: float) -> list[DatedLine]:
        """The judge's lines of an order of this name; spare only of what is contracted."""
        found: list[DatedLine] = []
        line_class = LineClass.HOLD if is_hold else CLASS_OF_KIND[self.kind]
        for number, (sent, asks) in enumerate(self.lines, start=1):
            line = DatedLine(
                f"{order}-{number}", order, "c", self.due, sent["stems"], line_class, _rank(line_class), TODAY, **asks
            )
            found.append(replace(line, promised_confidence=level))
            if sent.get("spare") and not is_hold:
                found.append(
                    replace(
                        line,
                        stems=sent["spare"],
                        minimum=0,
                        line_class=LineClass.SPARE,
                        class_rank=_rank(LineClass.SPARE),
                        is_spare=True,
                    )
                )
        return found


@dataclass
class AskedByRest:
    """The door, the judge's lines and book, and every difference."""

    door: Door
    told: TwiceTold
    dice: random.Random
    lines: list[DatedLine] = field(default_factory=list)
    book: Book = field(default_factory=Book)
    faults: list[str] = field(default_factory=list)
    seen: Counter[str] = field(default_factory=Counter)

    def live(self, promises: int) -> AskedByRest:
        """So many promises asked, with counts, releases and questions between them."""
        self.lines = [replace(line, line=self.told.names[line.line][0]) for line in self.told.lines]
        self.book.moved(self._standing())
        for _ in range(promises):
            if self.dice.random() < 0.3:
                self._count_anew()
            self._ask_on_the_spot()
            self._promise()
        return self

    def _standing(self, more: list[DatedLine] | None = None) -> Standing:
        farm = self.told.farm
        return Standing(Ground(farm.supply, farm.keeping), [*self.lines, *(more or [])])

    def _count_anew(self) -> None:
        """Somebody counts again: more stems, or fewer."""
        shelf, place = self.dice.choice([(key, n) for key, lots in self.told.lots.items() for n in range(len(lots))])
        lot, stems = self.told.lots[shelf][place][0], self.dice.randint(0, 12)
        self.told.lots[shelf][place] = (lot, stems)
        self.door.patch(f"/v1/known-stems/{lot.key}", {"stems": stems})
        self.book.moved(self._standing())

    def _ask_on_the_spot(self) -> None:
        """The most of one line: so many pass by the judge, one more does not, and who stands in the way is named."""
        wanted = self._wanted(1)
        is_hold, level = self.dice.random() < 0.3, self.dice.choice(LEVELS)
        ((sent, asks),) = wanted.lines
        names = [name for name in sent if name not in ("stems", "minimum", "spare")]
        body = {name: sent[name] for name in names} | {"due": wanted.due.isoformat(), "kind": wanted.kind}
        status = "on_hold" if is_hold else "contracted"
        answer = self.door.ask("POST", "/v1/may-promise", json={**body, "status": status, "confidence": level})
        if answer.status_code == 422:
            return
        assert answer.status_code == 200, answer.text
        found = answer.json()

        def judged(stems: int) -> Ruling:
            line = {**sent, "stems": stems, "minimum": 0, "spare": 0}
            asked = replace(wanted, lines=((line, {**asks, "minimum": 0}),))
            return self._ruling(LAST_KEY, asked.dated(LAST_KEY, is_hold=is_hold, level=level), level)

        self._say(may_promise_faults(found["stems"], found["also"], lambda n: judged(n).accepted, most=MOST))
        self._say_named("at one more", found["at_more_would_fall"], judged(found["stems"] + 1).falls)
        self.seen["spot"] += 1
        self.seen["also"] += found["also"] is not None

    def _promise(self) -> None:
        wanted = self._wanted(self.dice.choice((1, 1, 2)))
        body = {"date": wanted.due.isoformat(), "due": wanted.due.isoformat(), "customer": "c", "kind": wanted.kind}
        made = self.door.ask("POST", "/v1/quotes", json={**body, "lines": [sent for sent, _ in wanted.lines]})
        if made.status_code == 422:
            return
        assert made.status_code == 201, made.text
        self.book.moved(self._standing())
        self._step(made.json()["id"], wanted)

    def _step(self, quote: str, wanted: Wanted) -> None:
        is_hold, level = self.dice.random() < 0.3, self.dice.choice(LEVELS)
        lines = wanted.dated(quote, is_hold=is_hold, level=level)
        right = self._ruling(quote, lines, level)
        path = f"/v1/quotes/{quote}/{'hold' if is_hold else 'contract'}"
        body = {"confidence": level, **({"until": (TODAY + timedelta(days=3)).isoformat()} if is_hold else {})}
        answer = self.door.ask("POST", path, json=body)
        assert answer.status_code in (200, 409), answer.text
        is_accepted, found = answer.status_code == 200, answer.json()
        self.seen["accepted" if right.accepted else "refused"] += 1
        self.seen["falls"] += bool(right.falls)
        if is_accepted != right.accepted:
            self._say([f"{quote}: accepted {is_accepted}, rightly {right.accepted}"])
        self._say_named("falls", found["falls"], right.falls)
        self._say_named("displaced", found["displaced"], right.displaced)
        if right.accepted:
            after = self._standing(lines)
            self.lines += lines
            self.book.promised(after, Asked(quote, level))
            if is_hold:
                self._check_contract(found, quote, wanted, level)
            return
        if len(wanted.lines) == 1:
            self._check_way_on(found, quote, wanted, (is_hold, level))
        if self.dice.random() < 0.3:
            self.door.post(path, {**body, "override": True, "override_reason": "a regular"})
            self.lines += lines
            self.book.overridden(self._standing(), Asked(quote, level))
            self.seen["overridden"] += 1

    def _check_contract(self, found: dict[str, Any], quote: str, wanted: Wanted, level: float) -> None:
        """A hold says whether it could be contracted now, and what would fall."""
        others = [line for line in self.lines if line.order != quote]
        contracted = wanted.dated(quote, is_hold=False, level=level)
        farm = self.told.farm
        after = Standing(Ground(farm.supply, farm.keeping), [*others, *contracted])
        right = ruling(self._standing(), after, Asked(quote, level), self.book)
        self.seen["could be contracted" if right.accepted else "could not be"] += 1
        if found["could_be_contracted"] != right.accepted:
            self._say([f"{quote} contracted: {found['could_be_contracted']}, rightly {right.accepted}"])
        self._say_named("contracting", found["contracting_would_lower"], right.falls)

    def _check_way_on(self, found: dict[str, Any], quote: str, wanted: Wanted, step: tuple[bool, float]) -> None:
        """A refusal's largest number that passes is one, and a larger one it names passes again."""
        (is_hold, level), ((sent, asks),) = step, wanted.lines

        def passes(stems: int) -> bool:
            line = {**sent, "stems": stems}
            fewer = {**asks, "minimum": min(asks["minimum"], stems)}
            lines = replace(wanted, lines=((line, fewer),)).dated(quote, is_hold=is_hold, level=level)
            return self._ruling(quote, lines, level).accepted

        self._say(may_promise_faults(found["most"], found["also"], passes, most=MOST))

    def _ruling(self, order: str, lines: list[DatedLine], level: float) -> Ruling:
        return ruling(self._standing(), self._standing(lines), Asked(order, level), self.book)

    def _say_named(self, word: str, found: list[dict[str, Any]], right: dict[Thing, Named] | Any) -> None:
        """Order, line or delivery, due, from, to and floor of everybody named."""
        named = {
            (fall["order"], date.fromisoformat(fall["due"]), fall["line"]): Named(
                fall["from"], fall["to"], fall["floor"]
            )
            for fall in found
        }
        rounded = {
            thing: Named(round(one.before, 4), round(one.after, 4), round(one.floor, 4)) for thing, one in right.items()
        }
        if named != rounded:
            self._say([f"{word}: {named}, rightly {rounded}"])

    def _say(self, faults: list[str]) -> None:
        self.faults += faults

    def _wanted(self, lines: int) -> Wanted:
        kind = self.dice.choice(("wedding", "wedding", "one_off"))
        due = TODAY + timedelta(days=self.dice.randint(1, 14))
        return Wanted(kind, due, tuple(self._asks() for _ in range(lines)))

    def _asks(self) -> tuple[dict[str, Any], dict[str, Any]]:
        products = sorted(self.told.kept)
        stems, is_choice = self.dice.randint(1, 10), self.dice.random() < 0.3
        product, other = self.dice.sample(products, 2)
        roles = self.dice.choice(((), (Role.ACCENT,)))
        choice = Choice(roles, ("white", "pink"), (Form.FRESH, Form.DRIED)) if is_choice else None
        asks: dict[str, Any] = {
            "product": None if is_choice else product,
            "choice": choice,
            "minimum": self.dice.randint(1, stems) if self.dice.random() < 0.3 else 0,
            "substitutes": (other,) if self.dice.random() < 0.4 else (),
            "max_each": self.dice.randint(1, 6) if is_choice and self.dice.random() < 0.5 else None,
            "min_length_cm": self.dice.choice((0, 0, 20)),
        }
        said = {name: value for name, value in asks.items() if value}
        sent = {name: _sent(value) for name, value in said.items()}
        return {**sent, "stems": stems, "spare": self.dice.choice((0, 0, 3))}, asks


def _sent(value: object) -> object:
    if isinstance(value, tuple):
        return [str(one) for one in value]
    return str(value) if isinstance(value, Choice | Product) else value


def _rank(line_class: LineClass) -> int:
    return list(LineClass).index(line_class)

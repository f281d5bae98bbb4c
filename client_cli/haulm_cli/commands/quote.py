"""`haulm quote`: what a wedding or order would ask for, how sure each line is, and at what price."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Mapping

from haulm_cli.api import Service
from haulm_cli.commands.arguments import add_confidence, iso_date, named_count
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, items, money, percent, strings, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("line", gives_way=2),
    Column("what"),
    Column("for", gives_way=1),
    Column("stems", right=True),
    Column("spare", right=True),
    Column("promise", right=True),
    Column("hope", right=True),
    Column("sure", right=True),
    Column("price", right=True),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--date", type=iso_date, required=True, metavar="DATE", help="day of the event")
    parser.add_argument("--customer", metavar="KEY", help="who it is for")
    parser.add_argument("--palette", metavar="WORDS", help="e.g. 'soft whites with movement'; for pieces")
    parser.add_argument("--own-arranging", action="store_true", help="the couple arranges: more spare, no labour")
    parser.add_argument("--dried-ok", action="store_true", help="dried stems count")
    parser.add_argument("--no-substitute", action="store_true", help="nothing may stand in")
    parser.add_argument(
        "--stand-ins", action="store_true", help="kinds of the same role and palette may stand in for what lines ask"
    )
    parser.add_argument(
        "--without", action="append", default=[], metavar="VARIETY", help="a kind that is not wanted; may be repeated"
    )
    parser.add_argument(
        "--home",
        dest="homes",
        action="append",
        default=[],
        choices=("cats", "dogs", "children"),
        help="who lives in the home the flowers go to; may be repeated",
    )
    add_confidence(parser)
    wanted = parser.add_mutually_exclusive_group(required=True)
    wanted.add_argument(
        "--piece",
        dest="pieces",
        action="append",
        type=named_count,
        metavar="PIECE=COUNT",
        help="a made piece and how many, e.g. 'bridal bouquet=1'; may be said more than once",
    )
    wanted.add_argument(
        "--line",
        dest="lines",
        action="append",
        type=named_count,
        metavar="WHAT=STEMS",
        help="a product or a choice and its stems, e.g. lagurus=40 or 'role=filler colour=white=60'; may be repeated",
    )


def _ask(service: Service, asked: Namespace) -> Reply:
    body: dict[str, object] = {"date": asked.date}
    if asked.customer is not None:
        body["customer"] = asked.customer
    if asked.confidence is not None:
        body["confidence"] = asked.confidence
    body |= {name: True for name in ("own_arranging", "dried_ok", "no_substitute", "stand_ins") if getattr(asked, name)}
    if asked.palette is not None:
        body["palette"] = asked.palette
    if asked.without:
        body["unacceptable"] = asked.without
    if asked.homes:
        body["homes"] = list(dict.fromkeys(asked.homes))
    if asked.pieces:
        body["pieces"] = [{"piece": piece, "count": count} for piece, count in asked.pieces]
    else:
        body["lines"] = [{"choice" if "=" in what else "product": what, "stems": n} for what, n in asked.lines]
    return service.quote(body)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    currency = body.get("currency")
    rows = [
        [
            text(line, "line"),
            text(line, "wanted", "product", "choice"),
            text(line, "pieces"),
            *(text(line, name) for name in ("stems", "spare", "free_to_promise")),
            _hope(line),
            percent(line.get("confidence")),
            money(line.get("price_minor"), currency),
        ]
        for line in items(body, "lines")
    ]
    dates = f"for {text(body, 'event_date')}, stems due {text(body, 'due_date')}, customer {text(body, 'customer')}"
    price = f"{_price_of(body)}: {money(_total(body), currency)}"
    sure = f"All lines together: {percent(body.get('order_confidence'))} sure"
    notes = [_under(line) for line in items(body, "lines")]
    remarks = (
        strings(body, "remarks")
        + told_places(body)
        + _more(body)
        + [f"Take care. {caution}" for caution in strings(body, "cautions")]
        + told_kinds(body, text(body, "id"))
        + [f"In their home: {line}" for line in strings(body, "home_warnings")]
        + strings(body, "notes")
    )
    return [
        screen.heading(f"Quote {text(body, 'id')} {dates}"),
        "",
        *table(_COLUMNS, rows, screen, notes),
        "",
        screen.paragraph(f"{sure} ({percent(body.get('level'))} asked). {price}"),
        *(screen.paragraph(part) for part in _parts(body)),
        *(screen.paragraph(remark) for remark in remarks),
        screen.paragraph("An estimate, not a guarantee; nothing is kept until 'haulm hold' or 'haulm contract'."),
    ]


def _under(line: Fields) -> str:
    """How sure a line is in words, what is hoped for in it, and what stands in."""
    hoped, others = (
        ", ".join(
            f"{text(kind, 'name')} ({text(kind, 'stems')})"
            for kind in items(line, "hoped_for")
            if bool(kind.get("stands_in")) is stands_in
        )
        for stands_in in (False, True)
    )
    kinds, certainty = f"hoped for: {hoped}" if hoped else "", text(line, "certainty")
    behind = f"behind them: {others}" if others else ""
    said = [certainty if not kinds.startswith(certainty) else "", kinds, behind, text(line, "stand_in")]
    return "; ".join(part for part in said if part not in ("", MISSING)) or MISSING


def _parts(body: Fields) -> list[str]:
    """What the price is made of."""
    price, currency = body.get("price"), body.get("currency")
    if not isinstance(price, Mapping):
        return []
    names = ("stems", "spare", "labour", "delivery", *(("seed",) if price.get("seed_minor") else ()), "tax")
    parts = [f"{name} {money(price.get(f'{name}_minor'), currency)}" for name in names]
    return [f"Of that: {', '.join(parts)}. It stands until {text(body, 'valid_until')}."]


def _more(body: Fields) -> list[str]:
    """Sowings that would make it safer, and other days."""
    safer, largest, currency = body.get("safer"), body.get("largest"), body.get("currency")
    said = [text(largest, "sentence")] if isinstance(largest, Mapping) else []
    if isinstance(safer, Mapping):
        price = money(safer.get("total_minor"), currency)
        said.append(f"{text(safer, 'sentence')} Decide by {text(safer, 'decide_by')}; price with its seed: {price}.")
    days = [f"{text(day, 'event_date')} ({percent(day.get('order_confidence'))})" for day in items(body, "other_dates")]
    return said + ([f"Other days: {', '.join(days)}."] if days else [])


def told_places(body: Fields) -> list[str]:
    """Where what is asked falls, each place with its price; what may come is told in how many seasons of a hundred."""
    places, currency = body.get("places"), body.get("currency")
    if not isinstance(places, Mapping):
        return []
    promised, sown, wish = (places.get(name) for name in ("promised", "sown", "wish"))
    said = []
    if isinstance(promised, Mapping):
        said.append(f"We promise: {_counted(promised)}; {money(_total(promised), currency)}.{_held_alone(promised)}")
    if isinstance(sown, Mapping):
        what = "; ".join(text(one, "said") for one in items(sown, "sowings"))
        said.append(
            f"We sow for you, with a yes by {text(sown, 'yes_by')}: {_counted(sown)}; "
            f"{money(sown.get('more_minor'), currency)} more, with its seed. To be sown: {what}.{_held_alone(sown)}"
        )
    if isinstance(wish, Mapping):
        chances = ", ".join(percent(part.get("likelihood")) for part in items(wish, "parts"))
        said.append(
            f"A wish, told on {text(wish, 'told_on')} and paid only if it comes: {_counted(wish)}; "
            f"{money(wish.get('more_minor'), currency)} (for you alone: it comes in {chances} of the seasons)."
        )
    beyond = _counted(places, "beyond")
    return [*said, *([f"More than the field gives, no price: {beyond}."] if beyond else [])]


def _held_alone(place: Fields) -> str:
    """What stands against a contract of a place, where anything does."""
    why = place.get("contract")
    return f" For you alone: hold it, since a contract of it would not be accepted today. {why}" if why else ""


def _price_of(body: Fields) -> str:
    """Whose price it is: of all that is asked, which may be more than can be promised."""
    places = body.get("places")
    is_in_parts = isinstance(places, Mapping) and any(places.get(name) for name in ("sown", "wish", "beyond"))
    return "Price, were all of it to come" if is_in_parts else "Price"


def _counted(place: Fields, name: str = "parts") -> str:
    return ", ".join(f"{text(part, 'count')} of {text(part, 'what')}" for part in items(place, name))


def _total(place: Fields) -> object:
    price = place.get("price")
    return price.get("total_minor") if isinstance(price, Mapping) else None


def told_kinds(body: Fields, quote: str) -> list[str]:
    """What a quote asks about kinds that do harm in pieces and how it is answered, and what was decided."""
    said = []
    for kind in items(body, "kinds"):
        is_asked = not kind.get("decided")
        word = f"You decide ({text(kind, 'severity')})" if is_asked else "Decided"
        said.append(f"{word}: {text(kind, 'sentence')}")
        if is_asked:
            words = f"haulm decide {text(kind, 'variety')} --{text(kind, 'use')} --quote {quote}"
            said.append(f"Answer it with '{words} --use-it' or '--keep-out'.")
    return said


def _hope(line: Fields) -> str:
    """What may be hoped for, where it is more than what is promised."""
    return MISSING if line.get("hope_to_offer") == line.get("free_to_promise") else text(line, "hope_to_offer")


COMMAND = Command("quote", "stems, confidence and price for a date", _add_arguments, _ask, _show)

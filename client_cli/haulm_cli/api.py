"""The service's endpoints, one method each; what they mean is written in the service's OpenAPI document."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import quote

import httpx

from haulm_cli.fields import Fields
from haulm_cli.wire import Call, Query, Reply, send


class Service:
    """A running service behind an HTTP client whose base URL is the service's address."""

    def __init__(self, client: httpx.Client) -> None:
        self._client = client

    def health(self) -> Reply:
        """Whether the service and its database answer."""
        return self._get("/healthz")

    def availability(self, query: Query) -> Reply:
        """Ready and free to promise, by product and week; `query`: from, weeks, confidence, product, weekday."""
        return self._get("/v1/availability", query)

    def match(self, query: Query) -> Reply:
        """Which stems meet which lines; `query`: from, to, season."""
        return self._get("/v1/match", query)

    def why(self, line: str, query: Query) -> Reply:
        """Who holds the stems that a line lacks; `query`: due, season."""
        return self._get(f"/v1/match/{_part(line)}/why", query)

    def outlook(self, query: Query) -> Reply:
        """How sure each order and class is as a whole, and what is left over; `query`: confidence."""
        return self._get("/v1/outlook", query)

    def may_promise(self, body: Fields) -> Reply:
        """The most stems that could be promised for a day."""
        return self._post("/v1/may-promise", body)

    def what_if(self, body: Fields) -> Reply:
        """Before and after of changes that are not saved."""
        return self._post("/v1/what-if", body)

    def shortfalls(self, query: Query) -> Reply:
        """Lines that are not sure enough, and the gaps they make; `query`: confidence."""
        return self._get("/v1/shortfalls", query)

    def jobs(self) -> Reply:
        """What closes gaps, and what is due on the farm."""
        return self._get("/v1/jobs")

    def tonight(self, query: Query) -> Reply:
        """What to do before frost, heat or hail; `query`: threat, min_c."""
        return self._get("/v1/tonight", query)

    def options(self, gap: str) -> Reply:
        """What can still close a gap."""
        return self._get(f"/v1/gaps/{_part(gap)}/options")

    def combined_plan(self, query: Query) -> Reply:
        """The fewest extra batches that close all gaps, as it was last worked out; `query`: confidence."""
        return self._get("/v1/combined-plan", query)

    def ask_combined_plan(self, query: Query) -> Reply:
        """Have that worked out for the farm as it is now; `query`: confidence."""
        return send(self._client, Call("POST", "/v1/combined-plan", query=query))

    def quote(self, body: Fields) -> Reply:
        """A quote for pieces or lines on a date."""
        return self._post("/v1/quotes", body)

    def piece_decisions(self) -> Reply:
        """What was decided about kinds in pieces."""
        return self._get("/v1/piece-decisions")

    def decide(self, body: Fields) -> Reply:
        """Decide about kinds in pieces, and have the quote that asked answered anew."""
        return self._post("/v1/piece-decisions", body)

    def hold(self, quote_id: str, body: Fields) -> Reply:
        """Keep a quote's stems until a date."""
        return self._post(f"/v1/quotes/{_part(quote_id)}/hold", body)

    def contract(self, quote_id: str, body: Fields) -> Reply:
        """Make a quote firm."""
        return self._post(f"/v1/quotes/{_part(quote_id)}/contract", body)

    def release(self, quote_id: str) -> Reply:
        """Give a quote's stems back."""
        return self._post(f"/v1/quotes/{_part(quote_id)}/release", {})

    def bucket_list(self, day: str, no_cut: Sequence[str] = ()) -> Reply:
        """What goes into which bucket; `no_cut`: deliveries for which no cut is made."""
        return self._get(f"/v1/bucket-lists/{_part(day)}", {"no_cut": list(no_cut)} if no_cut else None)

    def bucket_list_prices(self, day: str) -> Reply:
        """What a confirmed bucket list costs."""
        return self._get(f"/v1/bucket-lists/{_part(day)}/prices")

    def confirm_bucket_list(self, day: str, body: Fields, seen: str) -> Reply:
        """Settle what can be of a bucket list, or what the body decides, as it was seen under a tag."""
        return send(self._client, Call("POST", f"/v1/bucket-lists/{_part(day)}/confirm", body=body, if_match=seen))

    def tell_expected(self, day: str, body: Fields) -> Reply:
        """Send everybody on a bucket list what is expected; `body`: evenly."""
        return self._post(f"/v1/bucket-lists/{_part(day)}/expected", body)

    def share_list(self, day: str, body: Fields) -> Reply:
        """Keep which products of a bucket list are shared evenly; `body`: evenly."""
        return self._post(f"/v1/bucket-lists/{_part(day)}/shares", body)

    def take_back_list(self, day: str) -> Reply:
        """Take back what is settled of a bucket list."""
        return self._post(f"/v1/bucket-lists/{_part(day)}/take-back", {})

    def van_left(self, day: str, body: Fields) -> Reply:
        """The van has left with what is packed; `body`: due."""
        return self._post(f"/v1/bucket-lists/{_part(day)}/delivered", body)

    def correct_list(self, day: str, body: Fields) -> Reply:
        """A settled line gets more or fewer stems."""
        return self._post(f"/v1/bucket-lists/{_part(day)}/correct", body)

    def count_stored(self, body: Fields) -> Reply:
        """Take stock of a pile of the cool store."""
        return self._post("/v1/store/counts", body)

    def walk(self) -> Reply:
        """The kinds to look at in the field, in the order of walking."""
        return self._get("/v1/walk")

    def record_walk(self, body: Fields) -> Reply:
        """Write down what was counted on a walk."""
        return self._post("/v1/walk", body)

    def warnings(self, place: str, query: Query) -> Reply:
        """What to take care of at a place; `query`: variety, which may be several."""
        return self._get(f"/v1/warnings/{_part(place)}", query)

    def cut_list(self, day: str) -> Reply:
        """What to cut on a cut day."""
        return self._get(f"/v1/cut-lists/{_part(day)}")

    def cut(self, body: Fields) -> Reply:
        """Write down stems that were cut."""
        return self._post("/v1/cuts", body)

    def store(self) -> Reply:
        """What is in the cool store."""
        return self._get("/v1/store")

    def move_stored(self, body: Fields) -> Reply:
        """Let stems of the cool store go to the stall, to drying or to waste."""
        return self._post("/v1/store/moves", body)

    def claims(self) -> Reply:
        """Every claim, traced to its batches."""
        return self._get("/v1/claims")

    def claim(self, body: Fields) -> Reply:
        """Write down what a customer says was wrong."""
        return self._post("/v1/claims", body)

    def fill_rate(self, query: Query) -> Reply:
        """What was asked and sent, by customer and bucket day; `query`: customer."""
        return self._get("/v1/fill-rate", query)

    def season_end(self, query: Query) -> Reply:
        """A year by batch and by customer; `query`: year."""
        return self._get("/v1/season-end", query)

    def record(self, body: Fields) -> Reply:
        """Write down what was seen or done."""
        return self._post("/v1/records", body)

    def batch(self, body: Fields) -> Reply:
        """Add a batch."""
        return self._post("/v1/batches", body)

    def ticks(self) -> Reply:
        """What is ticked as at home or ordered."""
        return self._get("/v1/at-home")

    def tick(self, body: Fields) -> Reply:
        """Ticks what is at home or ordered, or takes the tick back."""
        return self._post("/v1/at-home", body)

    def next_year(self, query: Query) -> Reply:
        """A season's sowings, each beside its copy in the next; `query`: season."""
        return self._get("/v1/next-year", query)

    def copy_season(self, body: Fields) -> Reply:
        """Puts the copies into the plan; `body`: season, batches."""
        return self._post("/v1/next-year", body)

    def renewals(self, query: Query) -> Reply:
        """The standing orders of a season beside the next one's; `query`: season."""
        return self._get("/v1/next-year/standing-orders", query)

    def renew(self, order: str, body: Fields) -> Reply:
        """Renews a standing order, or lets it end; `body`: what, stems, override, override_reason."""
        return self._post(f"/v1/next-year/standing-orders/{_part(order)}", body)

    def order_list(self, query: Query) -> Reply:
        """What is to be ordered for the sowings to come of a season; `query`: season."""
        return self._get("/v1/next-year/order-list", query)

    def usual_sales(self) -> Reply:
        """What is likely to be asked for though nobody has ordered it."""
        return self._get("/v1/usual-sales", {"limit": 1000})

    def add_usual_sale(self, body: Fields) -> Reply:
        """Puts in a usual sale."""
        return self._post("/v1/usual-sales", body)

    def change_usual_sale(self, key: str, body: Fields) -> Reply:
        """Changes the named values of a usual sale."""
        return send(self._client, Call("PATCH", f"/v1/usual-sales/{_part(key)}", body=body))

    def take_back_usual_sale(self, key: str) -> Reply:
        """Takes a usual sale out; the answer is the row as it was."""
        return send(self._client, Call("DELETE", f"/v1/usual-sales/{_part(key)}"))

    def digest(self) -> Reply:
        """The early warning as text."""
        return self._get("/v1/digest")

    def replies(self) -> Reply:
        """What florists answered and nobody has judged yet."""
        return self._get("/v1/replies")

    def judge_reply(self, number: int, word: str, body: Fields) -> Reply:
        """The grower's word on an answer; `word`: accept or decline."""
        return self._post(f"/v1/replies/{number}/{word}", body)

    def outbox(self) -> Reply:
        """Mail on its way."""
        return self._get("/v1/outbox")

    def send_again(self, number: int) -> Reply:
        """Try a letter anew that bounced or was given up."""
        return self._post(f"/v1/outbox/{number}/again", {})

    def journal(self, query: Query) -> Reply:
        """What was written, newest first; `query`: before, about, whole."""
        return self._get("/v1/journal", query)

    def take_back(self, entry: int, word: str) -> Reply:
        """Take an entry back (`take-back`), or put it back (`put-back`)."""
        return self._post(f"/v1/journal/{entry}/{word}", {})

    def own_figures(self) -> Reply:
        """What finished seasons say of the farm's own figures."""
        return self._get("/v1/own-figures")

    def judge_figure(self, variety: str, figure: str, word: str) -> Reply:
        """Take an own figure over, or leave it; `word`: accept or refuse."""
        return self._post(f"/v1/own-figures/{_part(variety)}/{_part(figure)}/{word}", {})

    def honesty(self) -> Reply:
        """What was said against what came."""
        return self._get("/v1/honesty")

    def back_plan(self, query: Query) -> Reply:
        """When to sow for a week; `query`: product, week (or the day the stems leave), method, stems, confidence."""
        return self._get("/v1/back-plan", query)

    def batch_forecast(self, batch: str) -> Reply:
        """What one batch will give."""
        return self._get(f"/v1/batches/{_part(batch)}/forecast")

    def _get(self, path: str, query: Query | None = None) -> Reply:
        return send(self._client, Call("GET", path, query=query or {}))

    def _post(self, path: str, body: Fields) -> Reply:
        return send(self._client, Call("POST", path, body=body))


def _part(text: str) -> str:
    return quote(text, safe="")

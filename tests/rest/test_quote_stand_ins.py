"""Quotes with stand-ins by REST: what is served first, what is told apart, and the largest size that passes."""

from typing import Any

import pytest

from haulm.jobs.desk.facts import facts_of, value_of
from haulm.jobs.promises.show_quote import show_quote
from haulm.jobs.quotes.version import QuoteVersion
from support.door import Door
from support.known_farm import KNOWN_STEMS, VARIETIES, known_farm

MORE_KINDS = """\
    briza,Quaking grass,texture,cream,4,3,10,900,
    ammi,White ammi,filler,white,4,3,10,500,irritates skin
    """
MORE_STEMS = """\
    b1,briza,2027-06-14,20,
    a1,ammi,2027-06-14,50,
    """
RECIPES = "piece,role,stems\naisle end,texture,4\nposy,texture,4"


@pytest.fixture
def grasses(open_door: Any) -> Door:
    """35 lagurus and 20 briza are left for Friday 18 June, both a cream texture; only what is held takes no ammi."""
    door: Door = open_door(
        known_farm(
            varieties=VARIETIES.rstrip(" ") + MORE_KINDS,
            known_stems=KNOWN_STEMS.rstrip(" ") + MORE_STEMS,
            recipes=RECIPES,
        )
    )
    return door


def asked(door: Door, *lines: dict[str, Any], **more: Any) -> Any:
    """A quote for lines that leave on Friday."""
    return door.post("/v1/quotes", {"date": "2027-06-20", "lines": list(lines), **more})


def test_a_named_kind_comes_first_and_then_its_role_in_the_palette(grasses: Door) -> None:
    wanted = {"product": "lagurus", "stems": 50}

    alone, by_role = asked(grasses, wanted), asked(grasses, wanted, stand_ins=True)

    assert [found["order_confidence"] for found in (alone, by_role)] == [0.0, 1.0]
    (line,) = by_role["lines"]
    hoped = [(kind["product"], kind["stems"], kind["stands_in"]) for kind in line["hoped_for"]]
    assert (line["product"], hoped) == ("lagurus", [("lagurus", 35, False), ("briza", 20, True)])
    assert line["stand_in"] == "Standing in where that fails: Quaking grass (cream)."
    assert alone["lines"][0]["stand_in"] == "No stand-in is agreed."
    # A stand-in costs what the line does, and free is what it asks by name.
    assert (line["price_minor"], line["free_to_promise"]) == (alone["lines"][0]["price_minor"], 35)

    grasses.post(f"/v1/quotes/{by_role['id']}/hold", {"until": "2027-06-18"})
    (matched,) = [row for row in grasses.get("/v1/match", season="expected")["lines"] if row["order"] == by_role["id"]]
    assert matched["filled"] == 50


def test_the_largest_size_that_passes_is_said_where_a_quote_fails_and_only_there(grasses: Door) -> None:
    found = asked(grasses, {"product": "lagurus", "stems": 60}, stand_ins=True)

    assert found["largest"] == {
        "parts": [{"what": "Bunny tail", "asked": 60, "passes": 55}],
        "order_confidence": 1.0,
        "sentence": "The largest that is sure enough: 55 instead of 60 of Bunny tail (100 % for all of it at once).",
    }
    assert asked(grasses, {"product": "lagurus", "stems": 55}, stand_ins=True)["largest"] is None
    none = asked(grasses, {"product": "nigella", "stems": 1})["largest"]
    assert (none["parts"], none["sentence"]) == ([], "No smaller size of it is sure enough that day.")


def test_of_pieces_the_largest_number_is_said(grasses: Door) -> None:
    body = {"date": "2027-06-20", "pieces": [{"piece": "aisle end", "count": 20}], "palette": "cream"}

    alone = grasses.post("/v1/quotes", {**body, "no_substitute": True})
    # 80 stems: 55 of the role itself are 13 aisle ends; cream brings white, and with it the ammi.
    assert alone["largest"]["parts"] == [{"what": "aisle end", "asked": 20, "passes": 13}]
    assert grasses.post("/v1/quotes", body)["largest"] is None


def test_what_may_not_stand_in_never_does(grasses: Door) -> None:
    wanted = {"product": "lagurus", "stems": 50}

    for line, more in (({**wanted, "no_substitute": True}, {}), (wanted, {"unacceptable": ["briza"]})):
        found = asked(grasses, line, stand_ins=True, **more)
        assert found["order_confidence"] == 0.0
        assert all(not kind["stands_in"] for kind in found["lines"][0]["hoped_for"])

    aisle, posy = (
        grasses.post("/v1/quotes", {"date": "2027-06-20", "pieces": [{"piece": piece, "count": 5}], "palette": "cream"})
        for piece in ("aisle end", "posy")
    )
    # What is held takes nothing that irritates the skin, in its own place or in another's.
    assert [kind["product"] for kind in aisle["lines"][0]["hoped_for"]] == ["briza", "lagurus", "ammi"]
    assert [kind["product"] for kind in posy["lines"][0]["hoped_for"]] == ["briza", "lagurus"]
    assert posy["lines"][0]["left_out"] == ["White ammi"]


def test_what_is_barred_is_no_way_out_in_a_colour_near_the_palette_either(open_door: Any) -> None:
    kinds = """\
    carrot,Dara,texture,burgundy,4,3,10,500,sap burns skin in sun
    grass,Red grass,texture,red,4,3,10,500,
    """
    stems = "    g1,grass,2027-06-14,50,\n    "
    files = known_farm(
        varieties=VARIETIES.rstrip(" ") + kinds, known_stems=KNOWN_STEMS.rstrip(" ") + stems, recipes=RECIPES
    )
    door: Door = open_door(files)
    body = {"date": "2027-06-20", "palette": "red"}

    for piece, barred in (("posy", "without=carrot"), ("aisle end", "")):
        found = door.post("/v1/quotes", {**body, "pieces": [{"piece": piece, "count": 5}]})
        (line,) = found["lines"]
        assert door.get(f"/v1/order-lines/{line['line']}")["choice"].endswith(f"colour=red|green {barred}".rstrip())
        # What the palette would not have taken anyway is nothing that the couple misses.
        assert line["left_out"] == []


def test_own_substitutes_stay_first_and_in_their_order(grasses: Door) -> None:
    found = asked(grasses, {"product": "lagurus", "stems": 50, "substitutes": "ammi"}, stand_ins=True)

    assert grasses.get(f"/v1/order-lines/{found['lines'][0]['line']}")["substitutes"] == "ammi|briza"


def test_what_contradicts_itself_is_refused(grasses: Door) -> None:
    body = {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 5}]}

    problem = grasses.refused(422, "POST", "/v1/quotes", json={**body, "stand_ins": True, "no_substitute": True})

    assert "stand_ins with no_substitute" in problem["detail"]


def test_a_version_written_before_stand_ins_were_told_is_still_read(grasses: Door) -> None:
    version = show_quote(grasses.desk, asked(grasses, {"product": "lagurus", "stems": 5})["id"]).version
    facts = facts_of(version)
    for name in ("stand_ins", "largest"):
        del facts[name]
    for line in facts["lines"]:
        for kind in line["hoped_for"]:
            del kind["stands_in"]

    assert value_of(QuoteVersion, facts) == version


def test_the_page_and_the_paper_tell_stand_ins_apart_and_say_the_largest_size(grasses: Door) -> None:
    failing = asked(grasses, {"product": "lagurus", "stems": 60}, stand_ins=True)["id"]

    text = grasses.ask("GET", f"/quotes/{failing}").text
    for said in ("Hoped for: Bunny tail.", "Standing in where that fails: Quaking grass (cream).", "55 instead of 60"):
        assert said in text
    assert grasses.ask("GET", f"/paper/quotes/{failing}.pdf").status_code == 200

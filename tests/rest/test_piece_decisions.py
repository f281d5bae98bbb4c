"""Kinds that do harm in pieces by REST: what is asked, what is kept, what quotes do by it; and who lives at home."""

from datetime import date
from typing import Any

import pytest

from haulm.farm_folder.reader import read_texts
from haulm.farm_folder.writer import folder_texts
from support.desks import on
from support.door import Door
from support.known_farm import VARIETIES, known_farm

KINDS = """\
    larkspur,White larkspur,spike,white,4,3,10,800,
    foxglove,White foxglove,spike,white,4,3,10,800,
    ammi,White ammi,filler,white,4,3,10,650,
    ranunculus,White ranunculus,focal,white,4,3,10,900,
    tulip,White tulip,focal,white,4,3,10,500,
    dahlia,White dahlia,focal,white,4,3,10,650,
    rocket,White sweet rocket,filler,white,4,3,10,550,
    rose,Hedge rose,secondary,white,4,3,10,650,strip the thorns
    """
STEMS = "key,product,ready_date,stems\n" + "\n".join(
    f"s{number},{kind},2027-06-14,60"
    for number, kind in enumerate(("larkspur", "ammi", "ranunculus", "tulip", "dahlia", "rose", "rocket"))
)
RECIPES = """
    piece,role,stems
    bridal_bouquet,focal,4
    bridal_bouquet,spike,4
    bridal_bouquet,filler,3
    posy,spike,2
    table_jar,spike,3
    cake,focal,2
    """
BODY = {"date": "2027-06-20", "palette": "white", "pieces": [{"piece": "bridal bouquet", "count": 2}]}


@pytest.fixture
def wedding(open_door: Any) -> Door:
    """Sixty stems of each kind are ready for Friday 18 June; of foxglove none."""
    door: Door = open_door(known_farm(varieties=VARIETIES.rstrip(" ") + KINDS, known_stems=STEMS, recipes=RECIPES))
    return door


def asked(door: Door, **more: Any) -> Any:
    return door.post("/v1/quotes", {**BODY, **more})


def decide(door: Door, variety: str, decision: str, quote: str | None = None, **more: Any) -> Any:
    body = {"decisions": [{"variety": variety, "decision": decision, **({"use": "worn"} | more)}]}
    return door.post("/v1/piece-decisions", body | ({"quote": quote} if quote else {}))


def told(quote: Any) -> list[tuple[str, str, bool]]:
    return [(kind["variety"], kind["decided"], kind["is_out"]) for kind in quote["kinds"]]


def kinds_of(quote: Any, role: str) -> set[str]:
    return {kind["product"] for line in quote["lines"] if line["role"] == role for kind in line["hoped_for"]}


def test_a_quote_asks_about_what_could_come_the_worst_first_and_keeps_the_grave_out(wedding: Door) -> None:
    found = asked(wedding)

    # Nobody is asked about foxglove: there is none that day. Tulip and dahlia do too little harm to ask about.
    assert told(found) == [
        ("larkspur", "", True),
        ("rose", "", False),
        ("ammi", "", True),
        ("ranunculus", "", True),
    ]
    assert {kind["severity"] for kind in found["kinds"][1:]} == {"harmful"}
    first = found["kinds"][0]
    assert first["sentence"] == (
        "White larkspur: dangerously poisonous (all parts). "
        "It stays out of what is worn or held (bridal bouquet) until you decide."
    )
    assert {"tulip", "dahlia"} <= kinds_of(found, "focal")
    assert "ranunculus" not in kinds_of(found, "focal")
    assert not any(kind["product"] in ("larkspur", "ammi") for line in found["lines"] for kind in line["hoped_for"])


def test_once_she_says_so_larkspur_and_ranunculus_come_and_the_quote_that_asked_is_answered_anew(wedding: Door) -> None:
    key = asked(wedding)["id"]

    anew = decide(wedding, "larkspur", "use", key, note="gloves for whoever binds")
    assert anew["unanswered"] == ""
    assert anew["quote"]["version"]["changed"] == ["White larkspur in what is worn or held: used all the same."]
    assert "larkspur" in kinds_of(anew["quote"]["version"], "spike")
    decide(wedding, "ranunculus", "use", key)
    decide(wedding, "rose", "keep_out", key)

    life = wedding.get(f"/v1/quotes/{key}")
    assert [kind["variety"] for kind in life["asked"]] == ["ammi"]
    assert ("larkspur", "use", False) in told(life["version"]) and ("rose", "keep_out", True) in told(life["version"])
    assert "ranunculus" in kinds_of(life["version"], "focal")
    assert any("White larkspur" in caution for caution in life["version"]["cautions"])
    # Asked once: another quote follows without asking.
    later = asked(wedding)
    assert [kind["variety"] for kind in later["kinds"] if not kind["decided"]] == ["ammi"]
    assert "larkspur" in kinds_of(later, "spike")


def test_a_decision_is_kept_with_who_and_when_and_is_changed_and_taken_back(wedding: Door) -> None:
    decide(wedding, "larkspur", "use", note="gloves")
    (kept,) = wedding.get("/v1/piece-decisions")["decisions"]
    assert (kept["name"], kept["sentence"]) == ("White larkspur", "Used all the same in what is worn or held.")
    assert (kept["actor"], kept["at_utc"], kept["note"]) == ("owner", "2027-06-14T06:30:00+00:00", "gloves")

    decide(wedding, "larkspur", "keep_out")
    (kept,) = wedding.get("/v1/piece-decisions")["decisions"]
    assert (kept["decision"], kept["note"]) == ("keep_out", "")
    assert decide(wedding, "larkspur", "ask")["decisions"] == []
    assert wedding.get("/v1/piece-decisions")["decisions"] == []
    entries = wedding.desk.store.entries_of("kind-decided")
    assert [(entry.facts["before"], entry.facts["decision"]) for entry in entries] == [
        ("ask", "use"),
        ("use", "keep_out"),
        ("keep_out", "ask"),
    ]
    problem = wedding.refused(
        404,
        "POST",
        "/v1/piece-decisions",
        json={"decisions": [{"variety": "larkspur", "use": "worn", "decision": "ask"}]},
    )
    assert "larkspur|worn|" in problem["detail"]


def test_a_decision_about_one_piece_holds_for_it_alone(wedding: Door) -> None:
    decide(wedding, "larkspur", "use", piece="bridal bouquet")
    pieces = [{"piece": piece, "count": 1} for piece in ("bridal bouquet", "posy", "table jar")]

    found = wedding.post("/v1/quotes", {**BODY, "pieces": pieces})

    spikes = {tuple(line["pieces"]): line["left_out"] for line in found["lines"] if line["role"] == "spike"}
    assert spikes == {
        ("bridal_bouquet",): ["White ammi", "White foxglove"],
        ("posy",): ["White ammi", "White foxglove", "White larkspur"],
        ("table_jar",): ["White foxglove", "White larkspur"],
    }
    assert [
        (kind["use"], kind["pieces"], kind["decided"]) for kind in found["kinds"] if kind["variety"] == "larkspur"
    ] == [
        ("table", ["table_jar"], ""),
        ("worn", ["posy"], ""),
        ("worn", ["bridal_bouquet"], "use"),
    ]


def test_no_decision_puts_anything_on_a_cake_that_is_not_sold_for_food(wedding: Door) -> None:
    for use in ("worn", "table"):
        decide(wedding, "ranunculus", "use", use=use)

    body = {**BODY, "pieces": [{"piece": "cake", "count": 1}]}
    problem = wedding.refused(422, "POST", "/v1/quotes", json=body)
    assert problem["type"] == "/problems/nothing-in-season"

    asked_of_cake = {"decisions": [{"variety": "tulip", "piece": "cake", "decision": "use"}]}
    problem = wedding.refused(422, "POST", "/v1/piece-decisions", json=asked_of_cake)
    assert "'cake', which is food" in problem["detail"]


@pytest.mark.parametrize(
    ("decision", "said"),
    [
        ({"variety": "larkspur", "decision": "use"}, "nothing"),
        ({"variety": "larkspur", "decision": "use", "use": "set up"}, "set up"),
        ({"variety": "larkspur", "decision": "use", "use": "table", "piece": "posy"}, "posy"),
        ({"variety": "larkspur", "decision": "use", "piece": "swan"}, "swan"),
        ({"variety": "larkspur", "decision": "perhaps", "use": "worn"}, "decision"),
    ],
)
def test_a_decision_that_cannot_be_is_refused_by_what_was_found(
    wedding: Door, decision: dict[str, str], said: str
) -> None:
    problem = wedding.refused(422, "POST", "/v1/piece-decisions", json={"decisions": [decision]})
    assert said in problem["detail"]
    assert wedding.get("/v1/piece-decisions")["decisions"] == []


def test_what_holds_stems_stays_as_it_was_promised_until_it_is_answered_anew(wedding: Door) -> None:
    key = asked(wedding)["id"]
    decide(wedding, "larkspur", "use", key)
    wedding.post(f"/v1/quotes/{key}/hold", {"until": "2027-06-18"})

    kept_out = decide(wedding, "ranunculus", "use", key)
    assert kept_out["quote"] is None and "holds stems" in kept_out["unanswered"]
    assert wedding.get(f"/v1/quotes/{key}")["is_behind"]

    changed = wedding.post(f"/v1/quotes/{key}/anew")
    assert changed["status"] == "on_hold"
    assert "ranunculus" in kinds_of(changed["version"], "focal")
    assert not wedding.get(f"/v1/quotes/{key}")["is_behind"]


def test_a_decision_is_kept_though_the_quote_that_asked_cannot_be_answered_any_more(wedding: Door) -> None:
    key = asked(wedding)["id"]
    on(wedding.desk, date(2027, 7, 14))

    found = decide(wedding, "larkspur", "use", key)

    assert found["quote"] is None and found["unanswered"].startswith("The quote stays as it was: ")
    assert len(wedding.get("/v1/piece-decisions")["decisions"]) == 1


def test_decisions_travel_with_the_folder(wedding: Door) -> None:
    decide(wedding, "larkspur", "use", note="gloves, and\nno vase water")
    decide(wedding, "ammi", "keep_out", piece="bridal bouquet")
    farm = wedding.desk.store.farm()

    files = folder_texts(farm)

    assert files["piece_decisions.csv"].decode() == (
        "variety,use,decision,piece,note\n"
        'larkspur,worn,use,,"gloves, and\nno vase water"\n'
        "ammi,worn,keep_out,bridal_bouquet,\n"
    )
    assert read_texts(files).piece_decisions == farm.piece_decisions


def test_who_lives_at_home_is_kept_with_the_version_and_named_where_it_changes(wedding: Door) -> None:
    assert asked(wedding)["home_warnings"] == []
    found = asked(wedding, homes=["cats", "children"])
    assert found["homes"] == ["cats", "children"]
    assert found["home_warnings"][0].startswith("White tulip: ")
    assert len(found["home_warnings"]) == len({line.partition(":")[0] for line in found["home_warnings"]})

    changed = wedding.post(f"/v1/quotes/{found['id']}/anew", {"homes": ["dogs"]})
    assert changed["version"]["changed"] == ["At home: dogs, before cats and small children."]
    whole = wedding.post(f"/v1/quotes/{found['id']}/change", {**BODY, "homes": []})
    assert whole["version"]["changed"] == ["At home: nobody named, before dogs."]
    assert whole["version"]["home_warnings"] == []
    wedding.refused(422, "POST", "/v1/quotes", json={**BODY, "homes": ["lions"]})


def test_a_remark_says_what_is_left_out_of_which_piece(wedding: Door) -> None:
    pieces = [{"piece": name, "count": 1} for name in ("bridal bouquet", "posy", "table jar")]
    decide(wedding, "ammi", "keep_out")

    (remark,) = (one for one in asked(wedding, pieces=pieces)["remarks"] if "Left out of the bridal" in one)
    assert "bouquet: " in remark and "White ammi" in remark and "White larkspur" in remark

    decide(wedding, "larkspur", "use", use="table")
    said = [one for one in asked(wedding, pieces=pieces)["remarks"] if one.startswith("Left out")]
    assert "Left out of the table jar: White foxglove." in said

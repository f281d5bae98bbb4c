"""The journal by REST: told in words, taken back, put back, refused with what comes first."""

from __future__ import annotations

from support.door import Door

BED = {"key": "pond", "name": "Pond bed two"}
BATCH = {"key": "b1", "variety": "lagurus", "sow_date": "2027-05-03", "bed": "pond"}


def test_an_entry_is_told_in_words_taken_back_and_put_back(door: Door) -> None:
    door.post("/v1/beds", BED)
    door.post("/v1/batches", BATCH)
    door.patch("/v1/batches/b1", {"sow_date": "2027-05-05"})
    newest = door.get("/v1/journal", limit=1)
    (changed,) = newest["entries"]

    assert changed["what"] == "Changed" and changed["who"] == "the grower"
    assert changed["rows"] == ["Batch of Bunny tail in Pond bed two: sow date Mon 3 May → Wed 5 May"]
    assert changed["may"] and changed["why_not"] == ""
    done = door.post(f"/v1/journal/{changed['entry']}/take-back", {})
    assert done["entries"] == [changed["entry"]]
    assert door.get("/v1/batches/b1")["sow_date"] == "2027-05-03"
    assert door.get(f"/v1/journal/{changed['entry']}")["taken_back"]
    door.post(f"/v1/journal/{changed['entry']}/put-back", {})
    assert door.get("/v1/batches/b1")["sow_date"] == "2027-05-05"


def test_what_rests_on_it_is_named_and_its_number_is_given(door: Door) -> None:
    door.post("/v1/beds", BED)
    (bed,) = door.get("/v1/journal", limit=1)["entries"]
    door.post("/v1/batches", BATCH)
    (batch,) = door.get("/v1/journal", limit=1)["entries"]

    answer = door.ask("POST", f"/v1/journal/{bed['entry']}/take-back", json={})
    problem = answer.json()
    assert (answer.status_code, problem["type"]) == (409, "/problems/not-taken-back")
    assert problem["first"] == [batch["entry"]]
    assert problem["detail"].startswith("First take back: Added, Batch of Bunny tail")


def test_the_history_of_a_row_is_that_row_s_alone_and_parts_follow_each_other(door: Door) -> None:
    door.post("/v1/beds", BED)
    door.post("/v1/batches", BATCH)
    door.patch("/v1/batches/b1", {"plants": 70})

    of_batch = door.get("/v1/journal", about="batches/b1")["entries"]
    assert [one["what"] for one in of_batch] == ["Changed", "Added"]
    first = door.get("/v1/journal", limit=2)
    rest = door.get("/v1/journal", before=first["next"])
    seqs = [one["entry"] for one in (*first["entries"], *rest["entries"])]
    assert seqs == sorted(seqs, reverse=True) and len(set(seqs)) == len(seqs) == 4
    assert rest["next"] is None and "beginning" not in rest["entries"][-1]["what"]
    assert door.ask("GET", "/v1/journal", params={"about": "batches"}).status_code == 422

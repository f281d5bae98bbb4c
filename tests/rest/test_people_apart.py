"""Names, emails and phones of customers are in no entry and no other table; by REST they are shown and erased."""

from sqlalchemy import create_engine, text

from support.door import Door

NAME, EMAIL, PHONE = "Petronella Quist", "petronella@quist.example", "+44 1632 960 125"


def everywhere_but_people(door: Door) -> str:
    """All that the database holds outside the people's own table, as text."""
    engine = create_engine(door.desk.store._url)
    with engine.connect() as connection:
        tables = connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'table'")).scalars().all()
        assert {"entries", "idempotency", "people", "customers"} <= set(tables)
        rows = [connection.execute(text(f'SELECT * FROM "{table}"')).all() for table in tables if table != "people"]
    engine.dispose()
    return repr(rows)


def test_a_customers_name_and_email_are_kept_among_people_only(door: Door) -> None:
    row = {"key": "quist", "name": NAME, "email": EMAIL, "phone": PHONE}
    added = door.post("/v1/customers", row, Idempotency_Key="a")
    again = door.post("/v1/customers", row, Idempotency_Key="a")
    changed = door.patch("/v1/customers/quist", {"name": NAME + " junior"}, Idempotency_Key="b")
    quote = {"date": "2027-06-20", "customer": "quist", "lines": [{"product": "lagurus", "stems": 5}]}
    quoted = door.post("/v1/quotes", quote, Idempotency_Key="c")

    assert added == again and (added["name"], changed["name"]) == (NAME, NAME + " junior")
    assert quoted["customer"] == "quist"
    assert all(told not in everywhere_but_people(door) for told in (NAME, EMAIL, PHONE))
    assert "quist" in everywhere_but_people(door)


def test_no_answer_but_the_customers_own_row_tells_a_name(door: Door) -> None:
    door.post("/v1/customers", {"key": "quist", "name": NAME, "email": EMAIL})
    quote = {"date": "2027-06-20", "customer": "quist", "lines": [{"product": "lagurus", "stems": 5}]}
    door.post(f"/v1/quotes/{door.post('/v1/quotes', quote)['id']}/contract")

    for path in ("/v1/match", "/v1/shortfalls", "/v1/digest", "/v1/bucket-lists/2027-06-14", "/v1/orders"):
        assert "Petronella" not in str(door.get(path)) and EMAIL not in str(door.get(path))


def test_what_is_kept_of_a_customer_is_shown_and_erased(door: Door) -> None:
    door.post("/v1/customers", {"key": "quist", "name": NAME, "phone": PHONE})
    kept = door.get("/v1/customers/quist/kept")
    assert (kept["name"], kept["email"], kept["phone"], kept["links_ended"]) == (NAME, None, PHONE, [])

    assert door.post("/v1/customers/quist/erase") == {"key": "quist", "erased": True}

    kept = door.get("/v1/customers/quist/kept")
    assert (kept["name"], kept["phone"], len(kept["links_ended"])) == ("quist", None, 1)
    engine = create_engine(door.desk.store._url)
    with engine.connect() as connection:
        people = repr(connection.execute(text("SELECT * FROM people")).all())
    engine.dispose()
    assert NAME not in people and PHONE not in people
    assert door.refused(404, "GET", "/v1/customers/nobody/kept")
    assert door.refused(404, "POST", "/v1/customers/nobody/erase")


def test_a_phone_is_written_and_not_told_with_the_row(door: Door) -> None:
    added = door.post("/v1/customers", {"key": "quist", "name": NAME, "phone": "01632 960125"})
    assert "phone" not in added and "phone" not in door.get("/v1/customers/quist")
    assert door.desk.store.farm().customers[-1].phone == "01632 960125"
    answer = door.ask("PATCH", "/v1/customers/quist", json={"phone": "by pigeon"})
    assert answer.status_code == 422 and "one phone number of 3 to 15 digits" in answer.json()["detail"]

"""Names and email addresses of customers are in no entry, no kept answer and no other table."""

from sqlalchemy import create_engine, text

from support.door import Door

NAME, EMAIL = "Petronella Quist", "petronella@quist.example"


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
    row = {"key": "quist", "name": NAME, "email": EMAIL}
    added = door.post("/v1/customers", row, Idempotency_Key="a")
    again = door.post("/v1/customers", row, Idempotency_Key="a")
    changed = door.patch("/v1/customers/quist", {"name": NAME + " junior"}, Idempotency_Key="b")
    quote = {"date": "2027-06-20", "customer": "quist", "lines": [{"product": "lagurus", "stems": 5}]}
    quoted = door.post("/v1/quotes", quote, Idempotency_Key="c")

    assert added == again and (added["name"], changed["name"]) == (NAME, NAME + " junior")
    assert quoted["customer"] == "quist"
    assert NAME not in everywhere_but_people(door) and EMAIL not in everywhere_but_people(door)
    assert "quist" in everywhere_but_people(door)


def test_no_answer_but_the_customers_own_row_tells_a_name(door: Door) -> None:
    door.post("/v1/customers", {"key": "quist", "name": NAME, "email": EMAIL})
    quote = {"date": "2027-06-20", "customer": "quist", "lines": [{"product": "lagurus", "stems": 5}]}
    door.post(f"/v1/quotes/{door.post('/v1/quotes', quote)['id']}/contract")

    for path in ("/v1/match", "/v1/shortfalls", "/v1/digest", "/v1/bucket-lists/2027-06-14", "/v1/orders"):
        assert "Petronella" not in str(door.get(path)) and EMAIL not in str(door.get(path))

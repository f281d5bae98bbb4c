"""Passwords, tokens and the network, as whoever keeps the farm's computer meets them."""

from pathlib import Path

import httpx
import pytest

from support.project_tree import ROOT
from support.service_program import Program, ProgramHere

PASSWORD = "lagurus in the rain"
NAMED = {"Host": "farm.example"}


@pytest.fixture
def farm(tmp_path: Path) -> Program:
    """The program over a farm, under a name of the home network."""
    program = Program(tmp_path, HAULM_HOSTS="farm.example")
    program.hold(ROOT / "fixtures" / "two-florists")
    return program


@pytest.fixture
def farm_here(farm: Program) -> ProgramHere:
    """The same program, run in this process."""
    return ProgramHere(farm.folder, HAULM_HOSTS="farm.example")


def with_password(program: Program, role: str = "owner") -> None:
    """Set a password as somebody types it."""
    said = program.run("password", "--role", role, typed=f"{PASSWORD}\n")
    assert (said.exit_code, said.err) == (0, ""), said


def test_a_password_is_typed_and_never_printed(farm: Program) -> None:
    said = farm.run("password", typed=f"{PASSWORD}\n")

    assert (said.exit_code, PASSWORD in said.out + said.err) == (0, False)
    assert PASSWORD.encode() not in (farm.folder / "farm.db").read_bytes()


@pytest.mark.parametrize("typed", ["short\n", "", "\n"])
def test_a_short_password_is_one_sentence(farm_here: ProgramHere, typed: str) -> None:
    said = farm_here.run("password", typed=typed)

    assert (said.exit_code, said.out) == (1, "")
    assert "10 to 1000 characters" in said.err and said.err.count("\n") == 1


def test_a_password_is_no_argument(farm_here: ProgramHere) -> None:
    assert farm_here.run("password", PASSWORD).exit_code == 2


def test_a_secret_that_can_be_guessed_stays_on_this_computer(tmp_path: Path) -> None:
    program = ProgramHere(tmp_path, HAULM_SECRET="too short")
    with_password(program)

    assert "at least 32 bytes" in program.refusal("serve", "--host", "0.0.0.0", "--port", "0")


def test_beyond_this_computer_everybody_logs_in_under_a_listed_name(farm: Program) -> None:
    with_password(farm)
    token = farm.run("token").out.splitlines()[0].removeprefix("HAULM_TOKEN=")
    with farm.serving("serve", "--host", "0.0.0.0", "--port", "0") as running:
        port = running.address.rpartition(":")[2]
        with httpx.Client(base_url=f"http://127.0.0.1:{port}", headers=NAMED, timeout=60) as phone:
            first = phone.get("/short")
            assert (first.status_code, first.headers["location"]) == (303, "/login?to=/short")
            assert phone.get("/v1/customers").status_code == 403
            assert phone.get("/short", headers={"Host": "elsewhere.example"}).status_code == 421
            assert phone.post("/login", data={"password": "a wrong password"}).status_code == 403

            let_in = phone.post("/login", data={"password": PASSWORD, "to": "/short"})
            cookie = let_in.headers["set-cookie"].partition(";")[0]
            assert (let_in.status_code, let_in.headers["location"]) == (303, "/short")
            assert phone.get("/short", headers={"Cookie": cookie}).status_code == 200
            assert phone.get("/v1/customers", headers={"Authorization": f"Bearer {token}"}).status_code == 200
        assert running.stop() == 0

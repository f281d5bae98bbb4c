"""The demo: the three jobs on paper, then a service, and nothing left behind."""

import re
import signal
import socket
from collections.abc import Iterator
from datetime import timedelta

import pytest

from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.follow_gaps import follow_gaps
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from haulm_cli.program import main as ask
from support import scale
from support.service_program import Program, ProgramHere, ProgramOfFewSeasons, Running

STARTED: type[Program] = Program if scale.is_large() else ProgramOfFewSeasons
"""All seasons in the long run; in the usual one few, which show all that is looked at here."""


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """The demo, which has done the three jobs and serves."""
    program = STARTED(tmp_path_factory.mktemp("demo"))
    with program.serving("demo", "--port", 0) as service:
        yield service


@pytest.fixture(scope="module")
def printed(served: Running) -> str:
    """What it printed of the three jobs before it served."""
    return "".join(served.said)


def steps_of(text: str) -> list[str]:
    """The headings, each of which says how long its step took."""
    return re.findall(r"^(\S.*)  \[\d+\.\d\d s\]$", text, re.MULTILINE)


def under(text: str, heading: str) -> str:
    """What stands under a heading, as one line."""
    _, _, rest = text.partition(f"\n{heading}")
    assert rest, heading
    return " ".join(rest.partition("\n\n")[0].split())


def test_the_demo_does_the_three_jobs_in_order(printed: str) -> None:
    steps = steps_of(printed)
    jobs = [step.partition(":")[0] for step in steps if step.startswith("Job")]

    assert steps[0] == "Import the farm folder"
    assert list(dict.fromkeys(jobs)) == ["Job one", "Job two", "Job three"]
    assert steps[-1] == "Write the early warning as a letter"


def test_its_lines_fit_a_window_a_hundred_wide(printed: str) -> None:
    assert max(map(len, printed.splitlines())) <= 100


def test_a_batch_more_closes_a_gap_of_the_demo_farm(printed: str) -> None:
    told = under(printed, "Job one: add that to the plan and look again")
    found = re.search(r"is no longer short; gaps: (\d+) before, (\d+) now\.", told)

    assert found, told
    assert int(found[2]) < int(found[1])


def test_what_lines_ask_is_said_in_words(printed: str) -> None:
    assert "role=" not in printed and "colour=" not in printed
    lists = printed[printed.index("Job three") : printed.index("Write the early warning")]
    assert not re.search(r"\b[a-z]+_[a-z]+\b", lists), "kinds and customers by their names"


def test_a_small_wedding_is_held_at_the_farms_own_level(printed: str) -> None:
    assert "Held at 80 %" in under(printed, "Job two: hold it until Mon 29 Mar 2027")


def test_a_large_wedding_is_refused_by_the_name_of_who_would_lose(printed: str) -> None:
    told = under(printed, "Job two: contract a larger wedding on Sat 14 Aug 2027")

    assert re.search(r"Refused: This would take [A-Z].*'s .* for \w+ \d+ Aug 2027 from \d+ % to \d+ %, below", told)
    assert "What would close it first, decided by" in told or "Nothing that can still be sown would close it." in told


def test_a_bucket_list_says_who_gets_what(printed: str) -> None:
    told = under(printed, "Job three: the bucket list of week 32, as it would be today")

    assert re.search(r"What leaves from Mon 9 Aug 2027 to Sun 15 Aug 2027: \d+ lines\.", told)
    assert re.search(r"\b(\d+) of \1 stems, \d+ bunch", told)


def test_the_questions_that_the_demo_proposes_are_answered_until_it_is_interrupted(
    served: Running, printed: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert served.health() == 200
    proposed = [line.split()[1:] for line in printed.splitlines() if line.startswith("  haulm ")]

    assert [ask(arguments) for arguments in proposed] == [0, 0]
    assert "lagurus" in capsys.readouterr().out
    assert served.stop(signal.SIGINT) == 0
    assert list((served.folder / "temporary").iterdir()) == []


@pytest.mark.parametrize("more", [(), ("--first-year",)], ids=["as it is", "in its first year"])
def test_once_it_ends_by_itself_complains_of_nothing_and_leaves_nothing_behind(
    here: ProgramHere, monkeypatch: pytest.MonkeyPatch, more: tuple[str, ...]
) -> None:
    """With few seasons and the most urgent gaps worked out: what it prints with all of them is looked at above."""
    monkeypatch.setattr("haulm.opening.Planner", lambda: Planner(Drawing(seasons=25)))
    monkeypatch.setattr("haulm.demonstration.work_out_jobs", most_urgent_gaps)
    said = here.done("demo", "--once", *more)

    assert steps_of(said.out)[-1] == "Write the early warning as a letter"
    assert said.err == ""
    assert [path.name for path in here.folder.rglob("*")] == ["temporary"]
    assert ("past years" in under(said.out, "Import the farm folder")) == (not more)


def most_urgent_gaps(desk: Desk) -> None:
    """Has the days and ways of the first gaps worked out; their names are the first step of all."""
    for _ in range(4):
        follow_gaps(desk, "demo", quiet=timedelta(0))


def test_a_demo_that_is_interrupted_at_work_leaves_nothing_behind(program: Program) -> None:
    with program.started("demo", "--once") as process:
        assert process.stdout is not None
        assert any("Draw the seasons" in line for line in process.stdout)
        process.send_signal(signal.SIGTERM)
        assert process.wait(60) == 130

    assert list(program.temporary.iterdir()) == []


def test_a_taken_port_is_said_before_any_work(here: ProgramHere) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()

        assert "which is taken" in here.refusal("demo", "--port", other.getsockname()[1])

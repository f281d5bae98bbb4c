"""What is compiled is kept apart for each version of its sources; without the compiler a function stays as it is."""

from pathlib import Path
from shutil import copytree

import pytest

from haulm.matching.allocation.compile_ahead import match_of_every_width
from haulm.matching.one_pass import compiler
from haulm.matching.one_pass.compiler import compiled, folder_for_compiled

SOURCES = Path(compiler.__file__).parent


def test_the_folder_changes_with_the_sources_and_takes_the_place_of_the_one_before(tmp_path: Path) -> None:
    sources = copytree(SOURCES, tmp_path / "sources")
    before = folder_for_compiled(tmp_path, sources)
    before.mkdir()
    (before / "down_the_order.nbi").write_bytes(b"old")
    (tmp_path / "other").mkdir()

    assert folder_for_compiled(tmp_path, sources) == before
    assert (before / "down_the_order.nbi").exists()

    with (sources / "arrays.py").open("a") as source:
        source.write("# another\n")
    after = folder_for_compiled(tmp_path, sources)

    assert after != before
    assert not before.exists()
    assert (tmp_path / "other").exists()


def test_other_sources_leave_the_folder_as_it_is(tmp_path: Path) -> None:
    sources = copytree(SOURCES, tmp_path / "sources")
    before = folder_for_compiled(tmp_path, sources)
    (sources / "served.py").write_text("")

    assert folder_for_compiled(tmp_path, sources) == before


def test_a_function_is_compiled_without_keeping_where_there_is_no_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[dict[str, bool]] = []

    def njit(**options: bool) -> object:
        asked.append(options)
        if "cache" in options:
            raise RuntimeError("no locator available")
        return lambda function: function

    monkeypatch.setattr(compiler, "_NJIT", njit)
    monkeypatch.setattr(compiler, "IS_COMPILED", True)

    assert compiled(len)([1, 2]) == 2
    assert asked == [{"cache": True, "nogil": True}, {"nogil": True}]


def test_without_the_compiler_a_function_stays_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compiler, "IS_COMPILED", False)

    assert compiled(len) is len


def test_there_is_something_to_compile_until_it_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compiler, "IS_COMPILED", True)
    monkeypatch.setattr(compiler, "_KEPT_IN", tmp_path / "compiled")
    assert compiler.is_to_compile()

    (tmp_path / "compiled" / "matching").mkdir(parents=True)
    (tmp_path / "compiled" / "matching" / "one_pass.nbc").write_bytes(b"")
    assert not compiler.is_to_compile()

    monkeypatch.setattr(compiler, "_KEPT_IN", None)
    assert not compiler.is_to_compile()


def test_what_compiles_ahead_matches_stems_of_either_width() -> None:
    assert match_of_every_width() == [[1], [1]]

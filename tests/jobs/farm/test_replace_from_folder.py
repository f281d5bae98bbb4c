"""What a folder would take out of the farm is named before it goes."""

from pathlib import Path

import pytest

from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.import_farm import export_farm
from haulm.jobs.farm.replace_from_folder import WouldDiscard, check_discards


def test_the_farm_s_own_export_would_take_nothing_out(desk: Desk, tmp_path: Path) -> None:
    export_farm(desk.store, tmp_path / "out")

    assert check_discards(desk.store, tmp_path / "out", may_discard=False) == ()


def test_what_would_go_is_named_and_goes_by_a_word_more(desk: Desk, tmp_path: Path) -> None:
    export_farm(desk.store, tmp_path / "out")
    (tmp_path / "out" / "known_stems.csv").unlink()

    with pytest.raises(WouldDiscard, match="Counted stems of Love-in-a-mist") as refusal:
        check_discards(desk.store, tmp_path / "out", may_discard=False)
    assert (len(refusal.value.facts["rows"]), refusal.value.facts["more"]) == (4, 0)  # type: ignore[arg-type]
    assert len(check_discards(desk.store, tmp_path / "out", may_discard=True)) == 4

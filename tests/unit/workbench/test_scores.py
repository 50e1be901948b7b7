"""The scores a desk can open, and the folder it works for."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.workbench.folder import find_folder
from harmony.workbench.scores import list_scores, list_themes, name_parts, open_file, open_score
from harmony.workbench.theme.state import Choices
from harmony.workbench.theme.work import say_taken

HEAD = "X:1\nM:4/4\nL:1/4\nK:C\n"


@pytest.mark.parametrize(
    ("here", "folder"),
    [("piece/desks", "piece"), ("piece", "piece/sketchbook")],
)
def test_without_the_launcher_the_folder_is_found_from_where_the_desk_stands(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, here: str, folder: str
) -> None:
    monkeypatch.delenv("HARMONY_SKETCHBOOK")
    (tmp_path / here).mkdir(parents=True)
    monkeypatch.chdir(tmp_path / here)
    assert find_folder() == tmp_path / folder


def test_scores_are_listed_by_name_and_nothing_hidden(tmp_path: Path) -> None:
    for name in ("b.abc", "a.musicxml", ".draft.abc", "notes.txt"):
        (tmp_path / name).write_text(HEAD, encoding="utf-8")
    assert list(list_scores(tmp_path)) == ["a.musicxml", "b.abc"]
    assert list(list_themes())[:2] == ["a.musicxml", "b.abc"]
    assert "Shuttle" in list_themes()
    assert list_scores(tmp_path / "nowhere") == {}


def test_a_score_is_read_again_where_it_was_changed(tmp_path: Path) -> None:
    path = tmp_path / "tune.abc"
    path.write_text(f"{HEAD}CDEF|]", encoding="utf-8")
    first = open_file(path)
    assert open_score("tune.abc") is first
    path.write_text(f"{HEAD}CDEF|GABc|]", encoding="utf-8")
    os.utime(path, (1, 1))
    assert open_file(path).end == 2 * first.end
    path.unlink()
    with pytest.raises(HarmonyError, match="not in the sketchbook any more"):
        open_score("tune.abc")


def test_parts_are_named_as_they_can_be_chosen() -> None:
    assert name_parts(open_score("Shuttle")) == ["1: without a name"]


def test_of_a_long_theme_bars_are_told_only_where_some_were_taken(tmp_path: Path) -> None:
    (tmp_path / "long.abc").write_text(HEAD + "CDEF|" * 120, encoding="utf-8")
    assert say_taken(Choices("long.abc")) == ""
    assert say_taken(Choices("long.abc", bars="1-100")).startswith("Of its 120 bars 1-100 are")

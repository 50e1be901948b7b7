"""Answers delivered: text, JSON, and files that overwrite nothing unasked."""

from __future__ import annotations

import json
from argparse import Namespace
from pathlib import Path

import pytest

from harmony.cli.output import Answer, check_output, deliver, format_json
from harmony.errors import HarmonyError
from harmony.saving import save_text
from harmony.showing import Shown


class Value(Shown):
    """A value whose score is one word."""

    def to_musicxml(
        self, path: str | Path, alternative: int = 1, *, overwrite: bool = False
    ) -> Path:
        return save_text(Path(path), "score", overwrite=overwrite)


ANSWER = Answer("One chord.", {"slots": [1]}, Value())


def ask(output: Path | None = None, *, as_json: bool = False, force: bool = False) -> Namespace:
    return Namespace(
        output=None if output is None else str(output), json=as_json, force=force, concert=False
    )


def test_text_is_for_people_and_json_for_programs(capsys: pytest.CaptureFixture[str]) -> None:
    deliver(ANSWER, ask())
    assert capsys.readouterr().out == "One chord.\n"
    deliver(ANSWER, ask(as_json=True))
    assert json.loads(capsys.readouterr().out) == {"slots": [1]}


def test_the_ending_decides_what_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("a.txt", "a.json", "a.MusicXML"):
        deliver(ANSWER, ask(tmp_path / name))
        assert f"Written: {tmp_path / name}" in capsys.readouterr().out
    assert (tmp_path / "a.txt").read_text() == "One chord.\n"
    assert json.loads((tmp_path / "a.json").read_text()) == {"slots": [1]}
    assert (tmp_path / "a.MusicXML").read_text() == "score"


@pytest.mark.parametrize("name", ["a.txt", "a.json", "a.mxl"])
def test_only_force_replaces_a_file(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_text("theirs")
    with pytest.raises(HarmonyError, match="already there"):
        deliver(ANSWER, ask(path))
    assert path.read_text() == "theirs"
    deliver(ANSWER, ask(path, force=True))
    assert path.read_text() != "theirs"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("tune.doc", "ends in '.doc'"),
        ("tune", "has no ending"),
        ("missing/tune.txt", "folder that does not exist"),
        ("folder.txt", "is a folder"),
        ("kept.txt", "is already there"),
    ],
)
def test_a_file_that_could_not_be_written_is_refused_before_any_work(
    tmp_path: Path, name: str, said: str
) -> None:
    (tmp_path / "folder.txt").mkdir()
    (tmp_path / "kept.txt").write_text("kept")
    with pytest.raises(HarmonyError, match=said) as caught:
        check_output(ask(tmp_path / name))
    assert caught.value.where == str(tmp_path / name)
    assert (tmp_path / "kept.txt").read_text() == "kept"


def test_a_free_name_and_no_name_are_accepted(tmp_path: Path) -> None:
    check_output(ask())
    check_output(ask(tmp_path / "new.json"))
    (tmp_path / "kept.txt").write_text("kept")
    check_output(ask(tmp_path / "kept.txt", force=True))


def test_a_number_that_is_not_finite_never_leaves_as_json() -> None:
    with pytest.raises(ValueError, match="JSON"):
        format_json({"cost": float("nan")})

"""A file is written whole or not at all, and never over another unasked."""

from __future__ import annotations

import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.saving import save_bytes, save_text


def test_an_existing_file_is_left_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("theirs")
    with pytest.raises(HarmonyError, match="already there"):
        save_text(path, "ours")
    assert path.read_text() == "theirs"
    assert save_text(path, "ours", overwrite=True) == path
    assert path.read_text() == "ours"
    assert [found.name for found in tmp_path.iterdir()] == ["a.txt"]


def test_a_written_file_can_be_read_by_others(tmp_path: Path) -> None:
    ordinary = tmp_path / "ordinary.txt"
    ordinary.write_text("x")
    ours = save_text(tmp_path / "ours.txt", "x")
    assert stat.S_IMODE(ours.stat().st_mode) == stat.S_IMODE(ordinary.stat().st_mode)


def test_a_name_as_long_as_a_name_can_be_is_written(tmp_path: Path) -> None:
    assert save_text(tmp_path / ("n" * 255), "x").read_text() == "x"


@pytest.mark.parametrize("name", ["n" * 300, "missing/a.txt", "file/a.txt"])
def test_a_place_that_cannot_be_written_is_told(tmp_path: Path, name: str) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(HarmonyError, match="could not be written") as caught:
        save_text(tmp_path / name, "x")
    assert caught.value.where == str(tmp_path / name)


def test_a_disk_without_links_is_written_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(Path, "hardlink_to", refuse)
    path = save_text(tmp_path / "a.txt", "ours")
    assert path.read_text() == "ours"
    with pytest.raises(HarmonyError, match="already there"):
        save_text(path, "again")
    assert path.read_text() == "ours"
    assert [found.name for found in tmp_path.iterdir()] == ["a.txt"]


WRITE_FOR_EVER = """
import itertools, sys
from pathlib import Path
from harmony.saving import save_bytes
path = Path(sys.argv[1])
for number in itertools.count():
    save_bytes(path, bytes([number % 256]) * 300_000, overwrite=True)
    print(number, flush=True)
"""


def test_a_process_killed_while_writing_leaves_a_whole_file(tmp_path: Path) -> None:
    path = save_bytes(tmp_path / "a.bin", b"\0" * 300_000)
    for round_ in range(10):
        with subprocess.Popen(
            [sys.executable, "-c", WRITE_FOR_EVER, str(path)], stdout=subprocess.PIPE
        ) as process:
            assert process.stdout is not None
            process.stdout.readline()
            time.sleep(0.001 * round_)
            process.kill()
        content = path.read_bytes()
        assert len(content) == 300_000
        assert len(set(content)) == 1
    assert {found.suffix for found in tmp_path.iterdir()} <= {".bin", ".draft"}

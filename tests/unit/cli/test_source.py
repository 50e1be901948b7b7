"""The word that is a text, names a file, or is `-`."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from harmony.cli.source import read_text
from harmony.errors import HarmonyError


@pytest.mark.parametrize(
    "text",
    ["C", "D: I V6 | V7", "A/C#", "D: I b2.5 V", "4/4 D: V7/V", "{C2 G2}", "", "N.C.", "x" * 5000],
)
def test_a_progression_is_itself(text: str) -> None:
    assert read_text(text) == text


def test_a_text_is_not_a_file_of_the_same_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("C").write_text("D: I")
    assert read_text("C") == "C"
    assert read_text("./C") == "D: I"


def test_a_file_is_read_with_or_without_a_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "sketch.txt"
    path.write_bytes("\ufeffd: i iiø7 V".encode())
    assert read_text(str(path)) == "d: i iiø7 V"


def test_standard_input_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"D: I | V")))
    assert read_text("-") == "D: I | V"


@pytest.mark.parametrize("name", ["missing.txt", "deep/er/missing.rntxt"])
def test_a_missing_file_is_told(name: str) -> None:
    with pytest.raises(HarmonyError, match="There is no file") as caught:
        read_text(name)
    assert caught.value.where == name


def test_a_file_that_is_no_text_is_told(tmp_path: Path) -> None:
    path = tmp_path / "tune.txt"
    path.write_bytes(b"D: I \xff\xfe")
    with pytest.raises(HarmonyError, match="is not plain text") as caught:
        read_text(str(path))
    assert caught.value.where == str(path)


def test_a_file_of_unlikely_length_is_told(tmp_path: Path) -> None:
    path = tmp_path / "tune.txt"
    path.write_bytes(b"I " * 2_000_001)
    with pytest.raises(HarmonyError, match="longer than 4 megabytes"):
        read_text(str(path))

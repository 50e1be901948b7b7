"""Values saved, tabulated and pictured."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

import harmony
from harmony.reading.opening import read
from tests.published.musicxml_schema import faults


def test_a_voicing_is_saved_whole_and_never_over_another(tmp_path: Path) -> None:
    voiced = harmony.voice("D: I V6 | I", "string quartet")
    path = voiced.to_musicxml(tmp_path / "hymn.musicxml")
    assert faults(path.read_bytes()) == []
    with pytest.raises(harmony.HarmonyError, match="already there"):
        voiced.to_musicxml(path)
    before = path.read_bytes()
    assert voiced.to_musicxml(path, overwrite=True).read_bytes() == before
    with pytest.raises(harmony.HarmonyError, match="MusicXML"):
        voiced.to_musicxml(tmp_path / "hymn.doc")


def test_a_compressed_score_is_a_standard_archive(tmp_path: Path) -> None:
    voiced = harmony.voice("D: I V6 | I", "SATB choir")
    path = voiced.to_musicxml(tmp_path / "hymn.mxl")
    with zipfile.ZipFile(path) as archive:
        assert archive.namelist() == ["META-INF/container.xml", "score.musicxml"]
        assert archive.testzip() is None
    again = voiced.to_musicxml(tmp_path / "again.mxl")
    assert again.read_bytes() == path.read_bytes()
    assert read(path).harmonies[1].numeral == "V6"


def test_a_voicing_is_a_table_and_a_picture() -> None:
    voiced = harmony.voice("D: I V6 | I", "SATB choir")
    frame = voiced.to_frame()
    assert len(frame) >= 3
    html = voiced._repr_html_()
    assert html.count('data-class="note"') == 12
    assert 'aria-label="Notation"' in html

"""A sweep stopped at any moment goes on where it was, and forgets no file."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.corpora import sweeping
from tests.corpora.sweeping import Met, corpus_files, corpus_folder, read_log, report, sweep


@pytest.fixture
def files() -> list[Path]:
    return sorted(
        (p for p in corpus_files() if p.suffix == ".mxl"), key=lambda p: p.stat().st_size
    )[:3]


def test_what_the_log_names_is_not_opened_again(
    files: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = [path.relative_to(corpus_folder()).as_posix() for path in files]
    log = tmp_path / "new folder" / "met.tsv"
    log.parent.mkdir()
    # The process was killed in the middle of its second line.
    log.write_text(f"{names[0]}\t1.25\tread\tTold.\n{names[1]}\t0.", encoding="utf-8")
    assert read_log(log) == [Met(names[0], 1.25, "read", "Told.")]
    opened = []
    meet = sweeping.meet
    monkeypatch.setattr(
        sweeping, "meet", lambda path, name: opened.append(name) or meet(path, name)
    )
    mets = sweep(files, log)
    assert opened == names[1:]
    assert {(met.name, met.kind) for met in mets} == {(name, "read") for name in names}
    assert sweep(files, log) == mets
    assert opened == names[1:]
    assert report(mets).startswith("3 files: 3 read\n")


def test_a_fault_of_the_reader_is_noted_and_the_sweep_goes_on(
    files: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(path: Path) -> None:
        raise KeyError(path.name)

    monkeypatch.setattr(sweeping, "read", fail)
    mets = sweep(files, tmp_path / "met.tsv")
    assert [met.kind for met in mets] == ["traceback"] * 3
    assert all(path.name in met.message for path, met in zip(files, mets, strict=True))
    assert f"traceback: {mets[0].name}: " in report(mets)

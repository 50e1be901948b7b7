"""The sketchbook: two files or none, never one over another, whatever happens."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from fractions import Fraction
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.pitch import MeterMap, Pitch
from harmony.scoring import Event, Part, Score, Staff
from harmony.sketchbook import Record, Sketchbook, read_record
from harmony.sketchbook import sketchbook as module
from tests.published.musicxml_schema import faults

RECORD = Record(
    desk="progression",
    source="D: I V6 | I",
    ensemble="SATB choir",
    weights={"motion": 1.0, "leaps": 0.5},
    pins=("1.1 Alto=F#4",),
    cost=12.5,
    terms={"motion": 12.0, "leaps": 0.5},
    status="optimal",
    ancestry=("hymn", "voiced for SATB choir"),
    settings={"loop": [1, 2]},
)


@pytest.fixture
def book(tmp_path: Path) -> Sketchbook:
    return Sketchbook(tmp_path / "sketches")


def small_score() -> Score:
    event = Event(Fraction(0), Fraction(4), (Pitch.from_text("F#4"),))
    return Score((Part("Alto", (Staff((event,)),)),), MeterMap.steady("4/4"))


def visible(book: Sketchbook) -> list[str]:
    return sorted(path.name for path in book.folder.iterdir() if not path.name.startswith("."))


def test_a_keep_is_a_valid_score_and_its_record_comes_back_whole(book: Sketchbook) -> None:
    kept = book.keep("hymn", small_score(), RECORD)
    assert visible(book) == ["hymn.json", "hymn.musicxml"]
    assert faults(kept.score_path.read_bytes()) == []
    opened = book.open("hymn")
    assert opened == kept
    assert opened.record.pins == RECORD.pins
    assert opened.record.settings == RECORD.settings
    assert not opened.is_edited


def test_an_edited_score_is_noticed(book: Sketchbook) -> None:
    kept = book.keep("hymn", b"<score/>", RECORD)
    kept.score_path.write_bytes(b"<score>changed</score>")
    assert book.open("hymn").is_edited


def test_nothing_is_ever_overwritten(book: Sketchbook) -> None:
    book.folder.mkdir()
    (book.folder / "hymn 2.json").write_text("the composer's own")
    names = [book.keep("hymn", f"<score n='{n}'/>".encode(), RECORD).name for n in range(3)]
    assert names == ["hymn", "hymn 3", "hymn 4"]
    assert (book.folder / "hymn 2.json").read_text() == "the composer's own"
    assert (book.folder / "hymn.musicxml").read_bytes() == b"<score n='0'/>"
    assert [keep.name for keep in book.keeps()] == ["hymn 4", "hymn 3", "hymn"]


def test_all_keeps_are_opened_from_one_look_at_the_folder(
    book: Sketchbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a look a keep, a sketchbook of some hundred keeps took seconds to list."""
    for _ in range(5):
        book.keep("hymn", small_score(), Record("progression"))
    looks = []
    plain = Path.iterdir
    monkeypatch.setattr(Path, "iterdir", lambda folder: (looks.append(folder), plain(folder))[1])
    assert len(book.keeps()) == 5
    assert len(looks) == 1


def test_equal_scores_kept_twice_are_two_keeps(book: Sketchbook) -> None:
    assert book.keep("hymn", b"<score/>", RECORD).name == "hymn"
    assert book.keep("hymn", b"<score/>", RECORD).name == "hymn 2"


@pytest.mark.parametrize(
    "name",
    ["../out", "a/b", "a\\b", "/etc/passwd", "..", ".", ".hidden", "", "   ", "a\x00b", "a\nb",
     "C:", "what?", "nul", "COM1.sketch", "x" * 201, "Ж" * 101, "a\u202eb", "end."],
)  # fmt: skip
def test_crafted_names_get_one_sentence_and_leave_nothing(book: Sketchbook, name: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        book.keep(name, b"<score/>", RECORD)
    assert caught.value.message.count("\n") == 0
    assert not book.folder.exists() or visible(book) == []
    with pytest.raises(HarmonyError):
        book.open(name)


@pytest.mark.parametrize(
    "name", ["хорал", "讃美歌", "ترنيمة", "Ω 3.1 – draft", "é", "e\u0301", "🎻"]
)
def test_names_of_every_script_are_welcome(book: Sketchbook, name: str) -> None:
    assert book.open(book.keep(name, b"<score/>", RECORD).name).record.desk == "progression"


@pytest.mark.skipif(os.name == "nt", reason="folder permissions are another matter there")
def test_a_read_only_folder_gets_one_sentence(
    book: Sketchbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.keep("before", b"<score/>", RECORD)

    # Whoever runs the suite may be allowed everything, so the refusal is staged.
    def refuse(self: Path, *_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(HarmonyError, match="may only be read"):
        book.keep("after", b"<score/>", RECORD)
    assert visible(book) == ["before.json", "before.musicxml"]


def test_a_full_disk_gets_one_sentence_and_leaves_no_draft(
    book: Sketchbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.keep("before", b"<score/>", RECORD)

    def fill(handle: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(module.os, "fsync", fill)
        with pytest.raises(HarmonyError, match="the disk is full"):
            book.keep("after", b"<score/>", RECORD)
    assert sorted(path.name for path in book.folder.iterdir()) == ["before.json", "before.musicxml"]


def test_a_folder_without_links_keeps_too(
    book: Sketchbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(self: Path, target: Path) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(Path, "hardlink_to", refuse)
    assert [book.keep("hymn", b"<score/>", RECORD).name for _ in range(2)] == ["hymn", "hymn 2"]
    assert len(visible(book)) == 4


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"", "is damaged"),
        (b"\xff\xfe", "is damaged"),
        (b"[" * 100_000, "is damaged"),
        (b"[]", "not the record"),
        (b'{"format": "harmony keep", "version": 9}', "later workbench"),
        (b'{"format": "harmony keep", "version": 1, "pins": [1]}', "pins"),
        (b'{"format": "harmony keep", "version": 1, "weights": {"motion": "x"}}', "weights"),
        (b'{"format": "harmony keep", "version": 1, "desk": 3}', "desk"),
        (b'{"format": "harmony keep", "version": 1, "cost": true}', "cost"),
    ],
)
def test_damaged_records_get_one_sentence(data: bytes, word: str) -> None:
    with pytest.raises(HarmonyError, match=word):
        read_record(data, name="hymn.json")


def test_a_record_survives_its_own_writing() -> None:
    assert read_record(RECORD.to_bytes(), name="x") == RECORD
    with pytest.raises(HarmonyError, match="cannot be written"):
        Record("progression", settings={"bad": object()}).to_bytes()


#: Imports once, then forks a child that keeps without end for each line it is sent.
KEEPER = """
import os, sys
from pathlib import Path
from harmony.sketchbook import Record, Sketchbook
book = Sketchbook(Path(sys.argv[1]))
data = b"<score>" + b"x" * 100_000 + b"</score>"
for line in sys.stdin:
    child = os.fork()
    if child == 0:
        while True:
            book.keep("hymn", data, Record("progression", source="I V I"))
            os.write(1, b".")
    os.write(1, b"%d\\n" % child)
    os.waitpid(child, 0)
    os.write(1, b"\\n")
"""


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="kills by signal")
def test_a_process_killed_200_times_in_the_middle_loses_nothing_and_halves_nothing(
    book: Sketchbook,
) -> None:
    chance = random.Random(2026)
    kept = 0
    command = [sys.executable, "-c", KEEPER, str(book.folder)]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdin is not None
        assert server.stdout is not None
        for _ in range(200):
            server.stdin.write("go\n")
            server.stdin.flush()
            early, dot, child = server.stdout.readline().rpartition(".")
            time.sleep(chance.uniform(0.0, 0.06))
            os.kill(int(child), signal.SIGKILL)
            told = early.count(".") + len(dot) + server.stdout.readline().count(".")
            names = book.names()
            expected = [f"{n}.json" for n in names] + [f"{n}.musicxml" for n in names]
            assert visible(book) == sorted(expected)
            # What was reported as kept is there; one more may have been finished since.
            assert kept + told <= len(names) <= kept + told + 1
            kept = len(names)
        server.stdin.close()
    for name in book.names():
        assert not book.open(name).is_edited
        json.loads((book.folder / f"{name}.json").read_text(encoding="utf-8"))
    assert kept > 20


TWO_AT_ONCE = """
import sys
from pathlib import Path
from harmony.sketchbook import Sketchbook
from tests.unit.sketchbook.test_sketchbook import RECORD, small_score
book = Sketchbook(Path(sys.argv[1]))
score = small_score()
print("ready", flush=True)
input()
for _ in range(25):
    print(book.keep("hymn", score, RECORD).name)
"""


def test_two_programs_keeping_one_name_at_once_lose_nothing(book: Sketchbook) -> None:
    command = [sys.executable, "-c", TWO_AT_ONCE, str(book.folder)]
    both = [
        subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    for one in both:
        assert one.stdout is not None
        assert one.stdout.readline() == "ready\n"
    for one in both:
        assert one.stdin is not None
        one.stdin.write("go\n")
        one.stdin.flush()
    told = [one.communicate()[0].split("\n")[:-1] for one in both]
    assert [one.returncode for one in both] == [0, 0]
    names = [name for some in told for name in some]
    assert len(set(names)) == len(names) == 50
    assert sorted(book.names()) == sorted(names)
    for name in names:
        assert not book.open(name).is_edited

"""What the tree may hold: sizes, names, nothing unfinished, nothing of one machine."""

from __future__ import annotations

import re
import statistics
from collections.abc import Iterator
from pathlib import Path

from tests.architecture.checkout import ROOT, list_modules, list_tracked_files

LONGEST_MODULE = 500  # lines, hard
LONG_MODULE = 400  # lines; more needs its reason in DEVELOPERS.md
MEDIAN_MODULE = 160

TOP_LEVEL = {
    "CHANGELOG.md", "DEVELOPERS.md", "LICENSE", "Makefile", "README.md", "constraints.txt",
    "corpora", "harmony", "notebooks", "pyproject.toml", "tests",
}  # fmt: skip

# Written in pieces, so that this file passes its own test.
UNFINISHED = re.compile(r"\b(TO" r"DO|FIX" r"ME|XX" r"X|NotImplemented" r"Error)\b")
HOST = re.compile(
    r"\b(py" r"pi|python" r"hosted|npm" r"js|deb" r"ian|crates|proxy\.golang)\.(org|io|com|net)\b"
)
MACHINE = re.compile(r"(?<![\w.<])/(work|root|home|opt|mnt)/[\w.]")


def count_lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def find_matches(pattern: re.Pattern[str], files: list[Path]) -> Iterator[str]:
    for path in files:
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        for number, line in enumerate(text.splitlines(), start=1):
            if pattern.search(line):
                yield f"{path.name}:{number}: {line.strip()[:120]}"


def test_no_module_is_longer_than_the_limit() -> None:
    lengths = {str(path.relative_to(ROOT)): count_lines(path) for path in list_modules()}
    assert {name: length for name, length in lengths.items() if length > LONGEST_MODULE} == {}


def test_a_long_module_has_its_reason_written_down() -> None:
    told = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    long = [path for path in list_modules() if count_lines(path) > LONG_MODULE]
    assert [str(path) for path in long if str(path.relative_to(ROOT)) not in told] == []


def test_a_typical_module_is_short() -> None:
    lengths = [count_lines(path) for path in list_modules() if path.name != "__init__.py"]
    assert statistics.median(lengths) <= MEDIAN_MODULE


def test_only_the_named_things_stand_at_the_top() -> None:
    tops = {path.relative_to(ROOT).parts[0] for path in list_tracked_files()}
    assert {top for top in tops if not top.startswith(".")} <= TOP_LEVEL


def test_nothing_is_left_unfinished() -> None:
    assert list(find_matches(UNFINISHED, list_tracked_files())) == []


def test_no_registry_host_and_no_path_of_one_machine() -> None:
    files = list_tracked_files()
    assert list(find_matches(HOST, files)) == []
    assert list(find_matches(MACHINE, files)) == []


def test_the_searches_find_what_they_are_for(tmp_path: Path) -> None:
    page = tmp_path / "page.txt"
    pieces = (("TO", "DO: finish"), ("see npm", "js.com"), ("see /ro", "ot/notes.txt"))
    page.write_text("\n".join(map("".join, pieces)))
    for pattern, line in ((UNFINISHED, 1), (HOST, 2), (MACHINE, 3)):
        assert [found.split(":")[1] for found in find_matches(pattern, [page])] == [str(line)]

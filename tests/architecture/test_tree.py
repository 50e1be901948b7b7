"""What the tree may hold: sizes, citations, nothing unfinished, nothing of one machine."""

from __future__ import annotations

import csv
import re
import statistics
import tomllib
from collections.abc import Iterator
from pathlib import Path

from tests.architecture.checkout import PACKAGE, ROOT, list_modules, list_tracked_files

LONGEST_MODULE = 500  # lines, hard
LONG_MODULE = 400  # lines; more needs its reason in DEVELOPERS.md
MEDIAN_MODULE = 160

TOP_LEVEL = {
    "CHANGELOG.md", "DEVELOPERS.md", "LICENSE", "Makefile", "README.md", "constraints.txt",
    "corpora", "harmony", "notebooks", "pyproject.toml", "tests",
}  # fmt: skip

# Written in pieces, so that this file passes its own test.
UNFINISHED = re.compile(r"\b(TO" r"DO|FIX" r"ME|XX" r"X|NotImplemented" r"Error)\b")
HOST = re.compile(r"\b(pypi|pythonhosted|npmjs|debian|crates|proxy\.golang)\.(org|io|com|net)\b")
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
    page.write_text(
        "TO" + "DO: finish\nhttps://files.pythonhosted" + ".org/x\nsee /ro" + "ot/notes.txt\n"
    )
    for pattern, line in ((UNFINISHED, 1), (HOST, 2), (MACHINE, 3)):
        assert [found.split(":")[1] for found in find_matches(pattern, [page])] == [str(line)]


def read_bib_keys(text: str) -> list[str]:
    return re.findall(r"^@\w+\{\s*([^,\s]+)\s*,", text, flags=re.MULTILINE)


def read_cited_sources(path: Path) -> Iterator[str]:
    """Give every ``source`` value of a table, wherever it stands."""
    if path.suffix == ".csv":
        with path.open(encoding="utf-8", newline="") as stream:
            for row in csv.DictReader(stream):
                yield row["source"]
    else:
        yield from find_values(tomllib.loads(path.read_text(encoding="utf-8")), "source")


def find_values(tree: object, name: str) -> Iterator[str]:
    if isinstance(tree, dict):
        for key, value in tree.items():
            if key == name and isinstance(value, str):
                yield value
            else:
                yield from find_values(value, name)
    elif isinstance(tree, list):
        for value in tree:
            yield from find_values(value, name)


def list_tables() -> list[Path]:
    return sorted(
        path for path in (PACKAGE / "data").rglob("*") if path.suffix in {".csv", ".toml"}
    )


def find_unresolved(source: str, keys: set[str]) -> list[str]:
    """Give the parts of a ``source`` that are neither a key nor a plain statement of origin."""
    if source.startswith(("common practice", "from memory", "own ", "computed")):
        return []
    cited = [part.strip().split(" ")[0].rstrip(",:") for part in source.split(";")]
    return [key for key in cited if key not in keys]


def test_every_source_in_the_tables_resolves() -> None:
    keys = read_bib_keys((PACKAGE / "data" / "sources.bib").read_text(encoding="utf-8"))
    assert len(keys) == len(set(keys))
    unresolved = {
        (path.name, key)
        for path in list_tables()
        for source in read_cited_sources(path)
        for key in find_unresolved(source, set(keys)) or ([] if source else ["(empty)"])
    }
    assert unresolved == set()


def test_a_source_that_does_not_resolve_is_seen() -> None:
    keys = set(read_bib_keys("@book{aldwell2018,\n title = {x}\n}\n@misc{w3c2021,\n}"))
    assert keys == {"aldwell2018", "w3c2021"}
    assert find_unresolved("aldwell2018, p. 40; w3c2021", keys) == []
    assert find_unresolved("aldwell2018; nobody1900", keys) == ["nobody1900"]
    assert find_unresolved("common practice", keys) == []

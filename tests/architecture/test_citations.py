"""Every source cited in the package's tables resolves in harmony/data/sources.bib."""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.architecture.checkout import PACKAGE, ROOT, list_modules

DATA = PACKAGE / "data"
PUBLISHED = ROOT / "tests" / "published" / "tables"
TESTS = sorted((ROOT / "tests").rglob("*.py"))
#: Said where a fact has no one source, or was not seen again.
UNSOURCED = re.compile(
    r"\b(common[- ]practice|from memory|memory|recalled|computed|definition|our own)\b"
)
KEY = re.compile(r"[a-z]+(?:_[a-z]+)+(?:\d{4}[a-z]?)?|[a-z]{3,}(?:1[5-9]|20)\d\d[a-z]?")
NAME = r"[A-Z][\w-]+(?:'s)?"
AUTHOR_YEAR = re.compile(
    rf"\b{NAME}(?:(?:, {NAME})*,? (?:and|&) {NAME}| et al\.)?,? \(?(?:1[5-9]|20)\d\d\b"
)


NO_AUTHORS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December", "ISMIR", "ISO",
)  # fmt: skip


@dataclass(frozen=True)
class Bibliography:
    keys: tuple[str, ...]
    shorthands: tuple[str, ...]
    #: surname of every author, and first word of the title, with the year
    names: frozenset[tuple[str, str]]

    def find_faults(self, source: str) -> list[str]:
        """Name what in a ``source`` does not resolve."""
        if not source.strip():
            return ["(empty)"]
        rest = source
        for shorthand in sorted(self.shorthands, key=len, reverse=True):
            rest = rest.replace(shorthand, "")
        parts = [part.split(",")[0].strip() for part in source.split(";")]
        keys = [part for part in parts if KEY.fullmatch(part)]
        faults = [key for key in keys if key not in self.keys] + AUTHOR_YEAR.findall(rest)
        is_sourced = bool(keys) or rest != source or UNSOURCED.search(source) is not None
        return faults if is_sourced else [*faults, f"no source in {source!r}"]


def read_bibliography(text: str) -> Bibliography:
    entries = re.findall(r"^@\w+\{.*?^\}", text, flags=re.MULTILINE | re.DOTALL)
    return Bibliography(
        tuple(re.findall(r"^@\w+\{\s*([^,\s]+)\s*,", text, flags=re.MULTILINE)),
        tuple(re.findall(r"^\s*shorthand = \{(.+)\},?$", text, flags=re.MULTILINE)),
        frozenset(name for entry in entries for name in find_names(entry)),
    )


def find_names(entry: str) -> Iterator[tuple[str, str]]:
    fields = dict(re.findall(r"^\s*(\w+) = \{(.+)\},?$", entry, flags=re.MULTILINE))
    if year := fields.get("year"):
        yield fields["title"].split()[0], year
        for author in fields.get("author", "").split(" and "):
            yield author.split(",")[0].strip("{} "), year


def read_sources(path: Path) -> Iterator[str]:
    """Give every ``source`` of a table, wherever it stands."""
    if path.suffix == ".csv":
        with path.open(encoding="utf-8", newline="") as stream:
            rows = (line for line in stream if not line.startswith("#"))
            yield from (row["source"] for row in csv.DictReader(rows))
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


def read_shipped() -> Bibliography:
    return read_bibliography((DATA / "sources.bib").read_text(encoding="utf-8"))


def test_no_key_and_no_shorthand_stands_twice() -> None:
    shipped = read_shipped()
    assert shipped.keys
    assert len(shipped.keys) == len(set(shipped.keys))
    assert len(shipped.shorthands) == len(set(shipped.shorthands))


def test_every_source_in_the_tables_resolves() -> None:
    shipped = read_shipped()
    tables = sorted(path for path in DATA.rglob("*") if path.suffix in {".csv", ".toml"})
    assert tables
    faults = {
        f"{path.relative_to(DATA)}: {fault}"
        for path in tables
        for source in read_sources(path)
        for fault in shipped.find_faults(source)
    }
    assert faults == set()


def test_every_entry_is_cited() -> None:
    """In a table of the package or of the tests, or by author and year in words."""
    bibliography = (DATA / "sources.bib").read_text(encoding="utf-8")
    tables = [*DATA.rglob("*.csv"), *DATA.rglob("*.toml")]
    cited = " ".join(source for path in tables for source in read_sources(path))
    cited += " ".join(path.read_text(encoding="utf-8") for path in PUBLISHED.glob("*.csv"))
    words = " ".join(path.read_text(encoding="utf-8") for path in [*list_modules(), *TESTS])
    unused = []
    for entry in re.findall(r"^@\w+\{.*?^\}", bibliography, flags=re.MULTILINE | re.DOTALL):
        own = read_bibliography(entry)
        if any(name in cited for name in (*own.keys, *own.shorthands)):
            continue
        if not any(
            re.search(rf"\b{re.escape(name)}\b.{{0,80}}?{year}", words + cited, re.DOTALL)
            for name, year in own.names
        ):
            unused.append(own.keys[0])
    assert unused == []


def test_every_author_and_year_in_the_package_s_words_resolves() -> None:
    names = read_shipped().names
    faults = {
        f"{path.name}: {cited}"
        for path in list_modules()
        for cited in AUTHOR_YEAR.findall(path.read_text(encoding="utf-8"))
        if not cited.startswith(NO_AUTHORS)
        and not any((name, cited[-4:]) in names for name in re.findall(r"[A-Z][\w-]+", cited))
    }
    assert faults == set()


def test_a_source_that_does_not_resolve_is_seen() -> None:
    known = read_bibliography(
        "@book{aldwell_schachter,\n  shorthand = {Aldwell and Schachter},\n}\n"
        "@misc{cohn1998,\n  author = {Cohn, Richard},\n  title = {Introduction},\n"
        "  year = {1998},\n  shorthand = {Cohn 1998}\n}\n"
    )
    assert known.keys == ("aldwell_schachter", "cohn1998")
    assert known.names == {("Cohn", "1998"), ("Introduction", "1998")}
    for source in (
        "cohn1998", "cohn1998, p. 170; aldwell_schachter", "Cohn 1998 pp. 33-35",
        "registers: common practice", "handbooks, recalled", "Aldwell and Schachter",
    ):  # fmt: skip
        assert known.find_faults(source) == []
    assert known.find_faults("cohn1998; nobody1900") == ["nobody1900"]
    assert known.find_faults("nobody_nowhere") == ["nobody_nowhere"]
    assert known.find_faults("Cohn 1998 and Nobody 1900") == ["Nobody 1900"]
    assert known.find_faults("a page") == ["no source in 'a page'"]
    assert known.find_faults("") == ["(empty)"]

"""The examples that the help and the README show are commands that work."""

from __future__ import annotations

import io
import re
import shlex
import shutil
from importlib import import_module
from pathlib import Path

import pytest

from harmony.cli.main import COMMANDS, EPILOG, main
from harmony.harmonising.costs import TERM_NAMES
from harmony.instruments.catalogue import ensemble_names
from harmony.resources import find_corpora
from harmony.tables.reading import read_toml
from harmony.themes.operations import OPERATIONS
from harmony.voicings.costs import standard_costs

README = Path(__file__).resolve().parents[3] / "README.md"
SKETCH = "D: I V6 | ii65 V7 | I\n"
ANALYSIS = """Composer: Nobody
Title: A sketch
Time Signature: 4/4

m1 D: I b3 V6
m2 ii65 b3 V7
m3 I
"""


def list_examples() -> list[str]:
    pages = [EPILOG, README.read_text(encoding="utf-8")]
    pages += [import_module(command.module).EXAMPLES for command in COMMANDS]
    found = re.findall(r"^ {2,4}((?:echo .*\| )?harmony .*)$", "\n".join(pages), re.MULTILINE)
    # Opening the desks is for the browser tests.
    return sorted(
        {line for line in found if "harmony workbench" not in line and "COMMAND" not in line}
    )


def test_the_help_names_all_there_is_to_choose_from() -> None:
    """Written out, since reading the tables would slow every command down."""
    costs = [cost.name for cost in standard_costs()]
    for command, title, names in (
        ("voice", "players", list(ensemble_names())),
        ("voice", "presets", list(read_toml("voicing/presets.toml"))),
        ("voice", "costs", costs),
        ("harmonise", "costs", list(TERM_NAMES)),
    ):
        page = import_module(f"harmony.cli.{command}").EXAMPLES
        listed = re.search(rf"^{title}:\n((?:  .*\n)+)", page, re.MULTILINE)
        assert listed is not None
        assert re.split(r",\s+", listed[1].strip()) == names, (command, title)
    operations = import_module("harmony.cli.vary").EXAMPLES.partition("example:\n")[2]
    shown = [line.strip() for line in operations.partition("\n\n")[0].splitlines()]
    assert shown == [operation.example for operation in OPERATIONS]


def test_there_are_examples_of_both() -> None:
    for command in ("parse", "voice"):
        assert len([line for line in list_examples() if f"harmony {command}" in line]) >= 3


@pytest.mark.parametrize("line", list_examples())
def test_an_example_works(
    line: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("sketch.txt").write_text(SKETCH)
    Path("chorale.rntxt").write_text(ANALYSIS)
    for theme in find_corpora("loom_hall").glob("*.abc"):
        shutil.copy(theme, tmp_path)
    shutil.copytree(find_corpora(), "corpora")
    words = shlex.split(line)
    if words[0] == "echo":
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(words[1].encode())))
        words = words[words.index("harmony") :]
    assert main(words[1:]) == 0, capsys.readouterr().err
    assert capsys.readouterr().out
    if "-o" in words:
        assert Path(words[words.index("-o") + 1]).stat().st_size > 0

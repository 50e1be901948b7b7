"""The dispatcher: help, refusals in one sentence, exit statuses."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import harmony
from harmony.cli.command import CommandModule
from harmony.cli.main import COMMANDS, TRACEBACK_VARIABLE, main

Printed = pytest.CaptureFixture[str]


def assert_refused(printed: Printed, status: int, *words: str) -> None:
    out, err = printed.readouterr()
    assert status == 2
    assert out == ""
    assert err.count("\n") == 1
    assert err.endswith(".\n")
    for word in words:
        assert word in err


def test_no_word_at_all_shows_the_commands(capsys: Printed) -> None:
    assert main([]) == 0
    shown = capsys.readouterr().out
    for command in COMMANDS:
        assert command.name in shown
        assert command.summary in shown


@pytest.mark.parametrize("command", [command.name for command in COMMANDS])
def test_every_command_has_help_with_examples_of_its_own(command: str, capsys: Printed) -> None:
    assert main([command, "--help"]) == 0
    shown = capsys.readouterr().out
    assert f"harmony {command}" in shown.partition("examples:")[2]


def test_the_version_is_the_package_s(capsys: Printed) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"harmony {harmony.__version__}\n"


def test_an_unknown_command_is_refused_with_a_near_one(capsys: Printed) -> None:
    assert_refused(capsys, main(["voise"]), "'voise'", "did you mean 'voice'", "parse")


def test_an_option_without_a_command_is_refused(capsys: Printed) -> None:
    assert_refused(capsys, main(["--loud"]), "--loud")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["parse"], "TEXT|FILE"),
        (["parse", "D: I", "--volume", "3"], "--volume"),
        (["voice", "D: I"], "--for"),
        (["voice", "D: I", "--for"], "expected one argument"),
        (["voice", "D: I", "--for", "SATB choir", "--count", "many"], "--count"),
        (["voice", "D: I", "--for", "SATB choir", "--count", "0"], "from 1 up"),
        (["voice", "D: I", "--for", "SATB choir", "--unlike", "-1"], "from 0 up"),
        (["voice", "D: I", "--for", "SATB choir", "--weight", "leaps"], "TERM=X"),
        (["voice", "D: I", "--for", "SATB choir", "--weight", "leaps=far"], "number from 0 up"),
        (["voice", "D: I", "--for", "SATB choir", "--weight", "leaps=nan"], "number from 0 up"),
        (["voice", "D: I", "--for", "SATB choir", "--weight", "leaps=-1"], "number from 0 up"),
        (
            ["voice", "D: I", "--for", "SATB choir", "--weight", "leaps=1", "--weight", "leaps=2"],
            "twice",
        ),
        (["voice", "D: I", "--for", "SATB choir", "--register", "Soprano"], "VOICE=LOW-HIGH"),
        (["workbench", "one", "two"], "two"),
    ],
)
def test_words_that_cannot_be_used_are_refused(
    words: list[str], said: str, capsys: Printed
) -> None:
    assert_refused(capsys, main(words), said)


def test_a_refusal_for_programs_is_json_too(capsys: Printed) -> None:
    assert main(["voice", "D: I", "--for", "SATB choir", "--count", "x", "--json"]) == 2
    out, err = capsys.readouterr()
    error = json.loads(out)["error"]
    assert error["where"] == "--count"
    assert error["message"] + "\n" == err


def test_a_file_the_computer_refuses_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied", "sketches")

    monkeypatch.setattr("harmony.cli.parse.run", fail)
    assert_refused(capsys, main(["parse", "D: I"]), "sketches", "permission denied")


def test_a_fault_of_ours_is_one_sentence_and_another_status(
    monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr("harmony.cli.parse.run", fail)
    with pytest.raises(ZeroDivisionError):
        main(["parse", "D: I"])
    monkeypatch.delenv(TRACEBACK_VARIABLE)
    assert main(["parse", "D: I"]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert "fault of its own (ZeroDivisionError: division by zero)" in err


def test_an_interruption_has_the_customary_status(
    monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("harmony.cli.parse.run", interrupt)
    assert main(["parse", "D: I"]) == 130
    assert capsys.readouterr() == ("", "")


def test_a_reader_that_leaves_early_is_no_fault(tmp_path: Path) -> None:
    read_end, write_end = os.pipe()
    os.close(read_end)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "harmony", "--help"],
            cwd=tmp_path,
            check=False,
            stdout=write_end,
            stderr=subprocess.PIPE,
            text=True,
        )
    finally:
        os.close(write_end)
    assert (done.returncode, done.stderr) == (0, "")


def test_every_command_s_module_is_what_the_dispatcher_expects() -> None:
    from importlib import import_module

    for command in COMMANDS:
        module = import_module(command.module)
        for name in CommandModule.__annotations__:
            assert isinstance(getattr(module, name), str)
        assert callable(module.add_options)
        assert callable(module.run)


def test_a_full_disk_under_standard_output_is_one_sentence() -> None:
    with Path("/dev/full").open("w") as full:
        for words, said in ((["D: I V"], "no space left on device"), (["D: I Q"], "'Q' is not a")):
            done = subprocess.run(
                [sys.executable, "-m", "harmony", "parse", *words, "--json"],
                stdout=full,
                stderr=subprocess.PIPE,
                text=True,
                check=False,
            )
            assert done.returncode == 2
            assert done.stderr.count("\n") == 1
            assert said in done.stderr

"""Ctrl-C in mid-proof: the best so far with its bound, and the usual end otherwise."""

from __future__ import annotations

import json
import signal

import pytest

from harmony.cli.interrupting import stop_on_interrupt
from harmony.cli.main import main
from harmony.search import Progress
from harmony.voicings import problem as problem_module

FAR = Progress(0.1, 9.0, 4.0)


def test_the_first_ctrl_c_stops_the_search_and_the_second_the_command() -> None:
    before = signal.getsignal(signal.SIGINT)
    with stop_on_interrupt() as report:
        assert report(FAR)
        signal.raise_signal(signal.SIGINT)
        assert not report(FAR)
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is before


def test_before_anything_is_found_ctrl_c_ends_the_command() -> None:
    with stop_on_interrupt(), pytest.raises(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)


def test_the_command_prints_the_best_so_far_with_its_bound(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    words = ["voice", "D: I V65 | vi IV | V7 I", "--for", "string quintet", "--json"]
    assert main(words) == 0
    proven = json.loads(capsys.readouterr().out)["alternatives"][0]
    told: list[Progress] = []

    class Pressed:
        """A progress at which Ctrl-C is pressed."""

        def __init__(self) -> None:
            self._manager = stop_on_interrupt()

        def __enter__(self):  # type: ignore[no-untyped-def]
            report = self._manager.__enter__()

            def press(progress: Progress) -> bool:
                told.append(progress)
                if len(told) == 2:
                    signal.raise_signal(signal.SIGINT)
                return report(progress)

            return press

        def __exit__(self, *fault: object) -> None:
            self._manager.__exit__(*fault)

    monkeypatch.setattr("harmony.cli.voice.stop_on_interrupt", Pressed)
    assert main(words) == 0
    stopped = json.loads(capsys.readouterr().out)["alternatives"][0]
    assert stopped["status"] == "stopped"
    assert stopped["lower_bound"] <= proven["cost"] <= stopped["cost"]
    told.clear()
    assert main(words[:-1]) == 0
    assert "the search was stopped: nothing can cost less than" in capsys.readouterr().out

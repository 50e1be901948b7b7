"""Whatever is given to a public function: an answer, or one sentence saying what is accepted."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

import harmony
from harmony.errors import HarmonyError
from harmony.resources import find_corpora

TUNE = find_corpora("loom_hall", "shuttle.abc")
THEME = harmony.open_theme(TUNE, bars="1-2")
PROBLEM = harmony.prepare("C: I V7 | I", "SATB choir")

#: What each public function needs at least; any other argument may be left out.
NEEDED: dict[str, dict[str, Any]] = {
    "canon": {"theme": THEME},
    "harmonise": {"theme": THEME, "count": 1},
    "open_theme": {"path": TUNE},
    "parse": {"text": "C: I V7 | I"},
    "prepare": {"progression": "C: I V7 | I", "ensemble": "SATB choir"},
    "spacing": {"notes": "C3 G3 E4"},
    "vary": {"theme": THEME, "names": ("retrograde",)},
    "voice": {"progression": "C: I V7 | I", "ensemble": "SATB choir"},
}
METHODS: dict[str, tuple[Callable[..., Any], dict[str, Any]]] = {
    "Problem.best": (PROBLEM.best, {}),
    "Problem.k_best": (PROBLEM.k_best, {"count": 1}),
    "Problem.prices": (PROBLEM.prices, {}),
    "Problem.unlike": (PROBLEM.unlike, {"count": 2, "distance": 1}),
    "to_frame": (harmony.parse("C: I").to_frame, {}),
}
PLACES = [
    (name, function, needed, parameter)
    for name, (function, needed) in {
        **{name: (getattr(harmony, name), needed) for name, needed in NEEDED.items()},
        **METHODS,
    }.items()
    for parameter in inspect.signature(function).parameters
]
NUMBERS = st.one_of(
    st.integers(), st.sampled_from((0, -1, 10**30, 10**5000)), st.floats(), st.fractions(),
    st.booleans(), st.sampled_from((np.int64(2), np.float64("nan"), 1j)),
)  # fmt: skip
WORDS = st.one_of(
    st.sampled_from(("", "\0", "I", "leaps", "Soprano", "1.1 Alto=C4", "C3-C4", "x" * 5000)),
    st.sampled_from(("9" * 5000, "retrograde", "modal", "tonal", "full", "passing", "C2 G2")),
    st.text(max_size=4),
)
OTHERS = st.sampled_from(
    (
        None,
        b"D: I",
        bytearray(b"x"),
        Path("x.abc"),
        Path("a\0b"),
        THEME,
        PROBLEM,
        object(),
        len,
        int,
    )
)
PLAIN = st.one_of(NUMBERS, WORDS, OTHERS)
ANYTHING = st.one_of(
    PLAIN,
    st.lists(PLAIN, max_size=2),
    st.lists(PLAIN, max_size=2).map(tuple),
    st.lists(PLAIN, max_size=2).map(iter),
    st.lists(st.lists(PLAIN, max_size=1), max_size=2),
    st.dictionaries(st.one_of(WORDS, st.integers()), PLAIN, max_size=2),
    st.sets(st.one_of(NUMBERS, WORDS), max_size=2),
    st.just(np.array([60, 64])),
)


def test_every_public_function_is_tried() -> None:
    functions = {n for n in harmony.__all__ if not isinstance(getattr(harmony, n), type)}
    assert set(NEEDED) == functions


@pytest.mark.parametrize(
    ("function", "needed", "parameter"),
    [place[1:] for place in PLACES],
    ids=[f"{name} {parameter}" for name, _, _, parameter in PLACES],
)
def test_anything_is_answered_or_refused_in_one_sentence(
    function: Callable[..., Any], needed: dict[str, Any], parameter: str
) -> None:
    @settings(
        max_examples=16,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
        derandomize=True,
    )
    @given(ANYTHING)
    def check(value: Any) -> None:
        given_now = {**needed, parameter: value}
        args: tuple[Any, ...] = ()
        if "names" in given_now:  # given one after another, not by name
            args = (given_now.pop("theme"), value)
            del given_now["names"]
            args = (value, "retrograde") if parameter == "theme" else args
        try:
            function(*args, **given_now)
        except HarmonyError as fault:
            told = fault.message
        else:
            told = "An answer."
        assert told.strip().endswith((".", "?"))
        assert "\n" not in told
        assert len(told) < 1500

    check()


def test_a_fraction_of_a_quarter_may_be_a_float_or_a_fraction() -> None:
    by_fraction, by_float = (harmony.canon(THEME, spacing=s) for s in (Fraction(1, 2), 0.5))
    assert by_fraction.cells == by_float.cells == harmony.canon(THEME).cells


def test_a_theme_may_be_given_by_the_path_of_its_score() -> None:
    whole = harmony.open_theme(TUNE)
    assert harmony.vary(str(TUNE), "retrograde") == harmony.vary(whole, "retrograde")
    assert harmony.canon(TUNE).to_json() == harmony.canon(whole).to_json()

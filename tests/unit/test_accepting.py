"""What a public function does not accept is refused at the door, in one sentence."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pytest

import harmony
from harmony.accepting import KindError, accepting

#: An alias in quotes, as modules write them that load a class late.
Late = "Score | str"


@accepting
def shape(
    text: str = "", *, count: int = 0, weight: float | None = None, place: Fraction | None = None,
    texts: Iterable[str] = (), weights: Mapping[str, float] | None = None,
    pair: tuple[str, int] | None = None, late: Late | None = None, way: Literal["up"] = "up",
    told: Callable[[str], bool] | None = None, file: Path | None = None,
    either: Sequence[str] | str = (), given: Any = None,
) -> dict[str, Any]:  # fmt: skip
    return dict(locals())


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"text": None}, "harmony.shape cannot take None as 'text'; text is accepted."),
        ({"text": b"I"}, "harmony.shape cannot take b'I' (bytes) as 'text'; text is accepted."),
        (
            {"count": 2.0},
            "harmony.shape cannot take 2.0 (float) as 'count'; a whole number is accepted.",
        ),
        ({"count": True}, "harmony.shape cannot take True as 'count'; a whole number is accepted."),
        (
            {"count": 10**5000},
            "harmony.shape cannot take so large a number as 'count'; one of up to 18 digits is"
            " accepted.",
        ),
        (
            {"weight": float("nan")},
            "harmony.shape cannot take nan (float) as 'weight'; a number or None is accepted.",
        ),
        (
            {"texts": "1.1 Alto=C4"},
            "harmony.shape cannot take '1.1 Alto=C4' (str) as 'texts'; a list (of text) is"
            " accepted.",
        ),
        ({"texts": ["a", 3]}, "harmony.shape cannot take 3 (int) in 'texts'; text is accepted"
         " there."),
        (
            {"weights": {"leaps": None}},
            "harmony.shape cannot take None in 'weights'; a number is accepted there.",
        ),
        (
            {"weights": ["leaps"]},
            "harmony.shape cannot take ['leaps'] (list) as 'weights'; a dict (text to a number)"
            " or None is accepted.",
        ),
        ({"pair": ("a",)}, "harmony.shape cannot take ('a',) (tuple) as 'pair'; a tuple (of text,"
         " a whole number) or None is accepted."),
        ({"late": 1}, "harmony.shape cannot take 1 (int) as 'late'; a Score, text or None is"
         " accepted."),
        ({"way": 1}, "harmony.shape cannot take 1 (int) as 'way'; text is accepted."),
        ({"told": 1}, "harmony.shape cannot take 1 (int) as 'told'; a function or None is"
         " accepted."),
        ({"file": "a"}, "harmony.shape cannot take 'a' (str) as 'file'; a path or None is"
         " accepted."),
        ({"either": 1}, "harmony.shape cannot take 1 (int) as 'either'; a list (of text) or text"
         " is accepted."),
        ({"text": ["x"] * 99}, "harmony.shape cannot take a list as 'text'; text is accepted."),
    ],
)  # fmt: skip
def test_the_sentence_says_what_where_and_what_is_accepted(
    given: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(KindError) as caught:
        shape(**given)
    assert caught.value.message == sentence
    assert caught.value.where == next(iter(given))


def test_it_is_an_error_of_ours_and_of_the_language() -> None:
    assert issubclass(KindError, harmony.HarmonyError)
    assert issubclass(KindError, TypeError)


def test_numbers_of_other_libraries_and_what_is_gone_through_once_come_in() -> None:
    came = shape(
        count=np.int64(3), weight=np.float32(0.5), place=2, texts=(word for word in "ab"), way="up"
    )
    assert (came["count"], type(came["count"])) == (3, int)
    assert (came["weight"], type(came["weight"])) == (0.5, float)
    assert (came["place"], type(came["place"])) == (Fraction(2), Fraction)
    assert came["texts"] == ("a", "b")


def test_a_class_that_its_module_does_not_load_is_known_by_its_name() -> None:
    from harmony.scoring.score import Score

    class Longer(Score):
        pass

    score = object.__new__(Longer)
    assert shape(late=score)["late"] is score


def test_a_call_that_does_not_fit_is_told_by_the_function_s_own_name() -> None:
    with pytest.raises(TypeError, match=r"shape\(\) got an unexpected keyword argument 'cuont'"):
        shape(cuont=3)
    with pytest.raises(TypeError, match=r"voice\(\) missing 1 required positional argument"):
        harmony.voice("C: I")

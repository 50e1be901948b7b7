"""The lines under a progression."""

from __future__ import annotations

import pytest

import harmony
from harmony.acoustics.course import Moment, follow
from harmony.pitch.spelling import Pitch


def _pitches(names: str) -> list[Pitch]:
    return [Pitch.from_text(name) for name in names.split()]


def test_each_place_has_what_its_chord_alone_would_have() -> None:
    texts = ["C3 G3 C4 E4", "", "G2 G3 B3 D4", "C2 E2 G2", "C4"]
    moments = follow([_pitches(text) for text in texts])
    assert moments[1] == Moment(None, None, None)
    for text, moment in zip(texts, moments, strict=True):
        if len(text.split()) > 1:
            assert moment.roughness == pytest.approx(harmony.spacing(text).roughness, rel=1e-5)
    assert moments[3].low_semitones == 18.0
    assert moments[4].gap_profile == 0.0


def test_a_shared_note_changes_nothing() -> None:
    once, twice = follow([_pitches("C3 G3 E4"), _pitches("C3 G3 G3 E4")])
    assert once == twice


def test_an_empty_progression() -> None:
    assert follow([]) == ()

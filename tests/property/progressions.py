"""Random progressions, ensembles and weights for the laws of voicing."""

from __future__ import annotations

from hypothesis import strategies as st

from harmony.chords.api import parse
from harmony.chords.progression import Progression
from harmony.instruments.catalogue import ensemble
from harmony.instruments.ensemble import Ensemble
from harmony.pitch.spelling import Pitch
from harmony.voicings.costs import TERM_NAMES

NUMERALS = (
    "I", "ii", "iii", "IV", "V", "vi", "viio6", "I6", "ii6", "IV6", "V6", "I64", "V7", "V65",
    "V43", "V42", "ii7", "ii65", "viiø7", "V7/V", "V/vi", "N6", "bVI", "iv", "viio7",
)  # fmt: skip
SYMBOLS = ("C", "Am7", "F#m7b5", "Bb", "G7sus4", "E7b9", "Dmaj7", "A13", "Ebaug", "Bdim7")
OWN = ("{C E G# B}", "{D G C F}", "{Eb F A}", "{F Bb Eb, stacked}")
SMALL_REGISTERS = (
    ("C3", "C4"), ("F3", "F4"), ("C4", "B4"), ("G4", "G5"),
)  # fmt: skip


def progressions(*, least: int = 2, most: int = 5) -> st.SearchStrategy[Progression]:
    """Numerals in a major key, mixed with chord symbols and sonorities of one's own."""
    chord = st.one_of(
        st.sampled_from(NUMERALS), st.sampled_from(NUMERALS), st.sampled_from(SYMBOLS + OWN)
    )
    key = st.sampled_from(("C", "Eb", "A", "F#"))
    return st.tuples(key, st.lists(chord, min_size=least, max_size=most)).map(
        lambda pair: parse(f"{pair[0]}: " + " | ".join(pair[1]))
    )


def numerals(*, least: int = 2, most: int = 5) -> st.SearchStrategy[tuple[str, ...]]:
    """Numerals only, to be set in any key."""
    return st.lists(st.sampled_from(NUMERALS), min_size=least, max_size=most).map(tuple)


def small_choir() -> Ensemble:
    """A choir whose registers leave few voicings, so that all can be enumerated."""
    choir = ensemble("SATB choir")
    names = ("Bass", "Tenor", "Alto", "Soprano")
    return choir.with_registers(
        {
            name: (Pitch.from_text(low), Pitch.from_text(high))
            for name, (low, high) in zip(names, SMALL_REGISTERS, strict=True)
        }
    )


def weights() -> st.SearchStrategy[dict[str, float]]:
    """A weight for every term, in quarters, some of them zero."""
    quarter = st.integers(0, 16).map(lambda x: x / 4)
    return st.fixed_dictionaries(dict.fromkeys(TERM_NAMES, quarter))

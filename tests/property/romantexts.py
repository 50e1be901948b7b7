"""Strategies that write RomanText files, sound and broken."""

from __future__ import annotations

from hypothesis import strategies as st

_LINES = st.sampled_from(
    [
        "Composer: Anon.", "Title: Study", "Time Signature: 3/4", "Time Signature: 6/8",
        "Time Signature: 9/0", "Key Signature: Bb", "Note: a remark", "Form: chorale", "",
        "Pedal: 5 m2 m4", "Pedal: 1 m1 b1 m2 b9", "Pedal 1 m9 b1 m1 b2", "stray words", "m",
        "m1 ", "m1var1 C: V b3 I", "m2var1 zzz", "m 3 ii b2 V/", "m2a I", "m2b V",
        "m3-4 = m1-2", "m3 = m9", "m5-9 = m1-2", "m999999 I", "m1-1=m1",
    ]
)  # fmt: skip
_CHORDS = st.sampled_from(
    [
        "C: I", "d: i", "V7", "b2 V", "b3 ii65", "b4 vi", "b1.5 IV", "||", " ( vii )", "V/",
        "viio6/", "?(F: I", "b3", "b3: IV", "Zz", "N6", "I[", "b9 I",
    ]
)  # fmt: skip
_BARS = st.builds(
    lambda number, chords: f"m{number} {' '.join(chords)}",
    st.integers(0, 12), st.lists(_CHORDS, max_size=4),
)  # fmt: skip
FILES = st.lists(st.one_of(_BARS, _BARS, _LINES), min_size=1, max_size=10).map("\n".join)

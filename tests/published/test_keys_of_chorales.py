"""Keys found in 40 chorale melodies against the keys in which Bach set them.

Keys, melodies and fermatas: tables/chorale_melodies_dev.json (music21 corpus), the key
being that of the whole setting in four parts. A melody alone cannot always tell it: bwv293,
in C, ends on G, bwv275, in A minor, on D, bwv313, in G minor, on B.
"""

from __future__ import annotations

import pytest

from harmony.pitch.keyfinding import find_key
from tests.published.chorale_melodies import case_to_theme, read_cases

CASES = [(case, case_to_theme(case)) for case in read_cases()]


@pytest.mark.parametrize("is_signed", [True, False], ids=("signature known", "notes alone"))
def test_the_key_of_a_melody_is_that_of_its_setting(is_signed: bool) -> None:
    found = [
        find_key(
            theme.line.sounding, theme.phrase_ends, signature=case["sharps"] if is_signed else None
        ).key
        for case, theme in CASES
    ]
    right = [
        (key.tonic.pitch_class, key.is_minor) == (case["tonic_pc"], case["mode"] == "minor")
        for key, (case, _) in zip(found, CASES, strict=True)
    ]
    assert len(right) == 40
    assert sum(right) >= 37

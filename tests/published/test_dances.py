"""Dance rhythms against a bar of a published score each, recalled and not seen again.

Bizet 1875 (Habanera), Chopin 1840 (Polonaise op. 40 no. 1), Corelli 1700 (Follia, op. 5
no. 12: the sarabande's rhythm), Ravel 1929 (the side drum's first bar). The other
dances of the table are common practice.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.themes.operations import vary_once
from harmony.themes.rhythm import dances
from tests.unit.themes.lines import theme_from_text


@pytest.mark.parametrize(
    ("dance", "meter", "bar"),
    [
        # lengths in quarters: a dotted eighth is 3/4, a sixteenth of a triplet 1/6
        ("habanera", "2/4", "3/4 1/4 1/2 1/2"),
        ("polonaise", "3/4", "1/2 1/4 1/4 1/2 1/2 1/2 1/2"),
        ("sarabande", "3/4", "1 3/2 1/2"),
        ("bolero", "3/4", "1/2 1/6 1/6 1/6 1/2 1/6 1/6 1/6 1/2 1/2"),
    ],
)
def test_a_dance_has_the_rhythm_of_the_score_it_is_from(dance: str, meter: str, bar: str) -> None:
    lengths = tuple(Fraction(word) for word in bar.split())
    assert (str(dances()[dance].meter), dances()[dance].rhythm) == (meter, lengths)
    danced = vary_once(theme_from_text("D5/4"), dance)  # one note of a bar, struck again
    assert str(danced.meters.changes[0][1]) == meter
    assert tuple(note.duration for note in danced.line.sounding) == lengths


def test_a_dotted_note_gives_way_as_a_player_would_divide_it() -> None:
    # five notes over the habanera's four: its dotted eighth is an eighth and a sixteenth
    danced = vary_once(theme_from_text("D5 E5 F5 G5 A5", unit="1/2"), "habanera")
    lengths = [note.duration for note in danced.line.sounding]
    assert lengths[:5] == [Fraction(n, 4) for n in (2, 1, 1, 2, 2)]

"""An altered note is not set over the other form of itself."""

from __future__ import annotations

import harmony
from harmony.reading.theme import open_theme
from harmony.resources import find_corpora

BAR_6 = 15


def test_e_flat_on_the_beat_never_lies_over_e_natural() -> None:
    theme = open_theme(find_corpora("loom_hall", "night_shift.abc"))
    found = harmony.harmonise(theme, idioms=("common-practice",)).alternatives
    assert len(found) == 5
    for one in found:
        (under,) = (
            slot for slot in one.progression if slot.onset <= BAR_6 < slot.onset + slot.duration
        )
        assert under.chord is not None
        assert "E" not in {str(name) for name in under.chord.names}

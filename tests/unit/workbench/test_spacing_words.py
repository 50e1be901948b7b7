"""What is said of a sonority's roughness and fundamental, and how close notes are drawn."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from harmony.pitch.spelling import Pitch
from harmony.sketchbook import Sketchbook
from harmony.voicings.api import voice
from harmony.workbench.progression.view import ProgressionDesk
from harmony.workbench.spacing.axis import Axis
from harmony.workbench.spacing.facts import tell_facts
from harmony.workbench.spacing.glyph import ACCIDENTALS, outline_of
from harmony.workbench.spacing.hearing import Heard, hear_chord, measure_packed, pack_close
from harmony.workbench.spacing.staff import CLEF_AT, CLEF_WIDTH, draw_chord, staff_edge
from harmony.workbench.spacing.words import compare_roughness


def hear(text: str, players: str) -> Heard:
    return hear_chord(voice(text, players).alternatives[0], 0)


def tell(heard: Heard, heading: str) -> str:
    return next(fact.sentence for fact in tell_facts(heard) if fact.heading == heading)


@pytest.mark.parametrize(
    ("midi", "packed"),
    [
        ((36, 43, 52, 60, 67, 76), (36, 40, 43, 48, 52, 55)),  # C2 G2 E3 C4 G4 E5
        ((60, 61, 62, 63), (60, 61, 62, 63)),
        ((48, 60, 67, 72), (48, 55, 60, 72)),
        ((40, 45, 50, 55, 60, 65), (40, 41, 43, 45, 48, 50)),
        ((50,), (50,)),
    ],
)
def test_notes_are_packed_close_above_the_bass(
    midi: tuple[int, ...], packed: tuple[int, ...]
) -> None:
    assert pack_close(midi) == packed


def test_a_chord_spread_like_the_series_is_set_beside_its_notes_packed_close() -> None:
    heard = hear("{C2 G2 E3 C4 G4 E5}", "clarinet choir")
    share = heard.found.roughness / measure_packed(heard)
    assert 0.5 < share < 0.9
    said = f": {100 * share:.0f} % as rough as the same notes close above C2 ("
    assert said in tell(heard, "Roughness")


def test_a_cluster_is_as_close_as_it_can_be_and_has_no_single_fundamental() -> None:
    heard = hear("{C4 Db4 D4 Eb4}", "string quartet")
    assert "the notes lie as close above C4 as they can" in tell(heard, "Roughness")
    assert tell(heard, "Acoustic fundamental").endswith("point to no single fundamental.")
    assert "C4\u2013D\u266d4 (very rough" in tell(heard, "Roughness")


def test_a_chord_in_the_series_has_its_fundamental() -> None:
    said = tell(hear("{C2 G2 E3 C4 G4 E5}", "clarinet choir"), "Acoustic fundamental")
    assert said.startswith("C1, 32.7 Hz, explains")
    assert "next comes C2" in said


@pytest.mark.parametrize(
    ("roughness", "other", "said"),
    [
        (0.3, 0.6, "50 % as rough as"),
        (0.6, 0.25, "2.4 times as rough as"),
        (1.0, 1.03, "about as rough as"),
        (0.0, 0.0, "about as rough as"),
    ],
)
def test_roughness_beside_another(roughness: float, other: float, said: str) -> None:
    assert compare_roughness(roughness, other) == said


def test_no_heads_of_a_cluster_cover_each_other() -> None:
    pitches = [Pitch.from_text(name) for name in ["B3", "C4", "Db4", "D4", "Eb4", "E4", "F4"]]
    axis = Axis.around((40.0, 80.0), top=0.0, bottom=300.0, widest=6.0)
    marks, heads = draw_chord(pitches, axis, 0.0)
    for place, head in enumerate(heads):
        for other in heads[:place]:
            is_beside = head.left >= other.right - 0.2 * axis.space or (
                other.left >= head.right - 0.2 * axis.space
            )
            assert is_beside or abs(head.y - other.y) >= 0.99 * axis.space
    # D and E stand beside D flat and E flat: naturals tell them apart
    assert sum(outline_of(ACCIDENTALS[0]) in mark for mark in marks) == 2
    assert sum(outline_of(ACCIDENTALS[-1]) in mark for mark in marks) == 2


def test_a_cluster_s_accidentals_and_heads_stand_on_the_staff_beside_the_clef() -> None:
    pitches = [Pitch.from_text(name) for name in ["C4", "Db4", "D4", "Eb4"]]
    axis = Axis.around((40.0, 80.0), top=0.0, bottom=300.0, widest=6.0)
    marks, heads = draw_chord(pitches, axis, 0.0)
    edge = staff_edge(heads, 0.0, axis)
    assert max(head.right for head in heads) < edge
    assert f'x2="{edge:.1f}"' in marks[0]
    signs = [outline_of(sign) for sign in ACCIDENTALS.values()]
    drawn = [mark for mark in marks if any(sign in mark for sign in signs)]
    assert len(drawn) == 3
    lefts = [float(x) for mark in drawn for x in re.findall(r"translate\(([-0-9.]+)", mark)]
    assert min(lefts) >= (CLEF_AT + CLEF_WIDTH) * axis.space - 0.1


def test_an_emptied_fundamental_takes_its_fault_along(tmp_path: Path) -> None:
    desk = ProgressionDesk(sketchbook=Sketchbook(tmp_path))
    panel = desk.spacing
    before = panel.picture.facts
    for text, tone in (("E9", "fault"), ("", ""), ("D1", ""), ("", "")):
        panel.fundamental.value = text
        panel.base._handle_custom_msg({"press": "show"}, [])
        assert panel.fundamental.tone == tone
        assert (panel.picture.facts == before) is (text != "D1")

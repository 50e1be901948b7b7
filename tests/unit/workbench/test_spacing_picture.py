"""The picture of a sonority: where things lie, and that nothing overlaps."""

from __future__ import annotations

import itertools
import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmony.acoustics.series import partial_to_cents
from harmony.errors import HarmonyError
from harmony.pitch.spelling import Pitch
from harmony.voicings.api import prepare
from harmony.voicings.realisation import Realisation
from harmony.workbench.spacing.axis import Axis, letters_above_middle
from harmony.workbench.spacing.course import describe_course, draw_course, measure_course
from harmony.workbench.spacing.hearing import Heard, hear_chord
from harmony.workbench.spacing.pen import keep_apart
from harmony.workbench.spacing.picture import draw_spacing
from harmony.workbench.spacing.staff import draw_chord

SVG = "{http://www.w3.org/2000/svg}"
#: Sonorities, with players who can have them.
SONORITIES = {
    "open": ("{C2 G2 E3 C4 G4 E5}", "clarinet choir"),
    "close and low": ("{C2 E2 G2 C3}", "trombones and tuba"),
    "brass ninth": ("{Eb2 Bb2 G3 Db4 F4}", "brass quintet"),
    "quartal": ("{A2 D3 G3 C4 F4}", "string orchestra"),
    "cluster": ("{C4 Db4 D4 Eb4}", "string quartet"),
}


def realise(text: str, players: str) -> Realisation:
    from harmony.chords.api import parse

    return prepare(parse(text), players).best()


def heard(name: str) -> Heard:
    return hear_chord(realise(*SONORITIES[name]), 0, seconds=2.0)


def words(svg: str) -> list[str]:
    return [text.text or "" for text in ET.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize("name", SONORITIES)
def test_every_note_stands_beside_its_partial(name: str) -> None:
    found = heard(name)
    picture = ET.fromstring(draw_spacing(found))
    dots = [circle for circle in picture.iter(f"{SVG}circle") if circle.get("r") == "3.2"]
    assert len(dots) == len(found.pitches)
    rings = [circle for circle in picture.iter(f"{SVG}circle") if circle.get("r") == "3.6"]
    in_series = {one.partial for one in found.found.placed if one.is_in_series}
    assert len(rings) == len({*range(1, 17), *in_series})
    filled = [ring for ring in rings if ring.get("fill") == "currentColor"]
    assert len(filled) == len(in_series)


@pytest.mark.parametrize("name", SONORITIES)
def test_labels_in_a_column_do_not_overlap(name: str) -> None:
    picture = ET.fromstring(draw_spacing(heard(name)))
    columns: dict[str, list[float]] = {}
    for text in picture.iter(f"{SVG}text"):
        columns.setdefault(text.get("x", ""), []).append(float(text.get("y", "0")))
    for heights in columns.values():
        ordered = sorted(heights)
        gaps = [b - a for a, b in itertools.pairwise(ordered)]
        assert all(gap >= 13.0 for gap in gaps), sorted(gaps)[:2]


@pytest.mark.parametrize("name", SONORITIES)
def test_all_lies_within_the_frame(name: str) -> None:
    picture = ET.fromstring(draw_spacing(heard(name)))
    _, _, width, height = map(float, picture.get("viewBox", "").split())
    for text in picture.iter(f"{SVG}text"):
        assert 0 <= float(text.get("x", "-1")) <= width
        assert 0 <= float(text.get("y", "-1")) <= height
    for circle in picture.iter(f"{SVG}circle"):
        assert 0 <= float(circle.get("cy", "-1")) <= height


def test_ink_only() -> None:
    """No colour but the page's ink, so that light and dark both serve."""
    for name in SONORITIES:
        svg = draw_spacing(heard(name))
        assert set(re.findall(r'(?:fill|stroke)="([^"]+)"', svg)) <= {"currentColor", "none"}


def test_deviations_and_skipped_partials_are_written() -> None:
    said = words(draw_spacing(heard("open")))
    assert "5  E3   14 cents high" in said
    assert "3  G2   2 cents low" in said
    assert "4  C3   skipped" in said
    assert "Partials of C1" in said


def test_a_low_third_has_its_sign_and_word() -> None:
    assert "low" in words(draw_spacing(heard("close and low")))
    assert "low" not in words(draw_spacing(heard("open")))


def test_a_rougher_pair_has_a_thicker_line() -> None:
    found = heard("brass ninth")
    picture = ET.fromstring(draw_spacing(found))
    curves = [p for p in picture.iter(f"{SVG}path") if "Q" in p.get("d", "")]
    widths = [float(curve.get("stroke-width", "0")) for curve in curves]
    assert len(widths) >= 3
    assert widths == sorted(widths, reverse=True)  # drawn from the roughest on


def test_the_axis_is_even_in_cents() -> None:
    axis = Axis(24.0, 400.0, 5.0)
    octave = axis.y_of_partial(Pitch.from_text("C1"), 1) - axis.y_of_partial(
        Pitch.from_text("C1"), 2
    )
    assert octave == pytest.approx(60.0)
    fifth = partial_to_cents(3) - partial_to_cents(2)
    assert axis.y_of(60) - axis.y_of(60 + fifth / 100) == pytest.approx(5.0 * 7.01955, abs=1e-4)


@pytest.mark.parametrize("name", ["C2", "F3", "E4", "B4", "G5", "A6"])
def test_a_natural_note_is_engraved_within_half_a_semitone_of_its_height(name: str) -> None:
    axis = Axis(24.0, 400.0, 6.0)
    pitch = Pitch.from_text(name)
    engraved = axis.y_of_letter(letters_above_middle(pitch))
    assert abs(engraved - axis.y_of(pitch.midi)) <= 0.5 * 6.0


def test_heads_a_second_apart_stand_side_by_side() -> None:
    axis = Axis(24.0, 400.0, 6.0)
    pitches = [Pitch.from_text(name) for name in ("C4", "D4", "E4", "G4")]
    _, heads = draw_chord(pitches, axis, 0.0)
    lefts = [head.left for head in heads]
    assert lefts[0] == lefts[2] == lefts[3] < lefts[1]
    assert lefts[1] >= heads[0].right - 0.2 * axis.space


@given(
    st.lists(st.floats(-500, 500), min_size=1, max_size=20),
    st.floats(0.5, 40),
)
def test_kept_apart_in_order_and_no_farther_than_needed(wanted: list[float], gap: float) -> None:
    moved = keep_apart(wanted, gap)
    order = sorted(range(len(wanted)), key=lambda place: wanted[place])
    ordered = [moved[place] for place in order]
    assert all(b - a >= gap - 1e-6 for a, b in itertools.pairwise(ordered))
    assert sum(moved) == pytest.approx(sum(wanted), abs=1e-6 * len(wanted) + 1e-6)
    if all(b - a >= gap for a, b in zip(sorted(wanted), sorted(wanted)[1:], strict=False)):
        assert moved == pytest.approx(wanted)


def test_the_course_has_a_line_a_measure_and_names_its_extremes() -> None:
    realisation = realise("d: i | VII6 | III | IV7 | VI7 | N6 | V7 | i", "string quartet")
    svg = draw_course(realisation, chosen=2, width=1240.0)
    picture = ET.fromstring(svg)
    lines = list(picture.iter(f"{SVG}path"))
    assert len(lines) == 2
    assert all(line.get("fill") == "none" for line in lines)
    rough, _ = measure_course(realisation)
    known = [value for value in rough.values if value is not None]
    assert f"{min(known):.3f}" in describe_course(realisation)
    assert f"{max(known):.3f}" in describe_course(realisation)


def test_silence_breaks_the_lines() -> None:
    realisation = realise("C: I | N.C. | V | I", "SATB choir")
    picture = ET.fromstring(draw_course(realisation, chosen=0, width=800.0))
    for line in picture.iter(f"{SVG}path"):
        assert line.get("d", "").count("M") == 2


def test_one_chord_has_no_course() -> None:
    assert draw_course(realise("C: I", "SATB choir"), chosen=0, width=800.0) == ""


@pytest.mark.parametrize(
    ("text", "fundamental", "said"),
    [
        ("{C4}", "", "One note (C4) has no spacing; 2 to 32 notes are accepted"),
        ("C: I", "C7", "The fundamental C7 lies above the lowest note"),
        ("C: I", "C-1", "C-1 is beyond hearing; notes from C0 to B9 are accepted."),
        ("C: I", "H1", "H1"),
        ("N.C.", "", "Nothing sounds at bar 1 beat 1; a chord is needed."),
    ],
)
def test_what_cannot_be_shown_is_told_in_a_sentence(text: str, fundamental: str, said: str) -> None:
    realisation = realise(f"{text} | C: I", "string quartet")
    with pytest.raises(HarmonyError) as fault:
        hear_chord(realisation, 0, fundamental=fundamental)
    assert said in str(fault.value)
    assert "\n" not in str(fault.value)


def test_a_note_of_several_players_counts_once_and_is_told() -> None:
    realisation = realise("{C4 E4 G4}", "string quartet")
    found = hear_chord(realisation, 0)
    assert len(found.pitches) == 3
    ((pitch, voices),) = found.shared
    assert list(voices) == [
        voice.name
        for voice, own in zip(realisation.ensemble.voices, realisation.pitches[0], strict=True)
        if own.midi == pitch.midi
    ]
    assert len(voices) == 2

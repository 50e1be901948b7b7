"""Every alternative's sentence is true: what it says is there, and more than in the plain one."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise

import pytest

import harmony
from harmony.harmonising.alternatives import LEAST_DIFFERENCE
from harmony.harmonising.compare import root_difference
from harmony.harmonising.idiom import load_idiom
from harmony.harmonising.vocabulary import harmonic_key
from harmony.pitch import Key, Line, MeterMap, Note, PitchName, Theme
from harmony.resources import find_corpora
from tests.ideas_told import at_time, check_common_tones, check_contrary

THEMES = ("shuttle", "pattern_drawer", "lamps_out")
IDIOMS = ("common-practice", "modal", "romantic", "third-relations", "extended")


def bass_moves(one, sizes):
    """The share of changes of bass that go up by one of these numbers of semitones."""
    basses = [slot.bass.pitch_class for slot in one.progression]
    moves = [(b - a) % 12 for a, b in pairwise(basses) if a != b]
    return sum(move in sizes for move in moves) / max(1, len(moves))


def length_of(one, says):
    """The share of the time under chords of which something is said."""
    total = sum(slot.duration for slot in one.progression)
    return float(sum(slot.duration for slot in one.progression if says(slot)) / total)


def tonic_of(found):
    return found.melody.key.tonic.pitch_class


def on_degrees(found, one, roots):
    tonic = tonic_of(found)
    return length_of(one, lambda slot: (slot.chord.root.pitch_class - tonic) % 12 in roots)


def count_reread(found, one):
    """How many chords make the long note over them a third, a seventh or a ninth.

    A note is long beyond the median, or any where few are; a chord counts by the
    longest note that sounds with it, and the close does not.
    """
    notes = one.theme.line.sounding
    usual = sorted(note.duration for note in notes)[len(notes) // 2]
    over = [
        (span, max((n for n in notes if n.onset < span.end and n.end > span.onset),
                   key=lambda n: n.duration))
        for span in found.spans
    ]  # fmt: skip
    if sum(note.duration > usual for _, note in over) < len(over) / 4:
        usual = 0
    reread = 0
    for span, note in over[:-1]:
        chord = next(s.chord for s in reversed(one.progression.slots) if s.onset <= span.onset)
        above = (note.pitch.pitch_class - chord.root.pitch_class) % 12
        reread += note.duration > usual and above in (1, 2, 3, 4, 10, 11)
    return reread


def borrowed_late(found, one):
    """Chords of the other mode after the middle, less those before it, as a share of the time."""
    scale = {name.pitch_class for name in found.melody.key.scale} | {(tonic_of(found) + 11) % 12}
    middle = found.melody.end / 2
    early, late = (
        length_of(one, lambda s, side=side: (s.onset >= middle) == side
                  and not s.chord.pitch_classes <= scale)
        for side in (False, True)
    )  # fmt: skip
    return late - early


def on_cycle(found, one, size):
    return length_of(one, lambda s: (s.chord.root.pitch_class - tonic_of(found)) % size == 0)


SAID = {
    "long notes reread": count_reread,
    "other goals": lambda found, one: 1 - on_degrees(found, one, (0, 7)),
    "subdominant side": lambda found, one: 1 - on_degrees(found, one, (7, 11, 4, 0)),
    "mediant side": lambda found, one: on_degrees(
        found, one, (2, 3, 5, 8) if found.melody.key.is_minor else (2, 4, 5, 9)
    ),
    "on the third": lambda found, one: length_of(
        one, lambda slot: slot.chord.bass != slot.chord.root
    ),
    "slower harmony": lambda found, one: 1 / len(one.progression),
    "minor colours": lambda found, one: length_of(
        one, lambda slot: "min" in slot.chord.quality.name
    ),
    "mixture at the return": borrowed_late,
    "cycle of major thirds": lambda found, one: on_cycle(found, one, 4),
    "cycle of minor thirds": lambda found, one: on_cycle(found, one, 3),
}
#: The voice of each course and the semitones it may move by.
COURSES = {
    "sinking bass": ("bass", {10, 11}),
    "rising bass": ("bass", {1, 2}),
    "chromatic bass": ("bass", {11}),
    "climbing bass": ("bass", {1}),
    "falling fifths": ("root", {5}),
    "inner line": ("inner", {11}),
}
_ENDS = re.compile(r"from (\S+) in bar (\d+) to (\S+) in bar (\d+)$")


def check_course(one):
    """The voice goes from the note and bar said to those said, by its step, three times or more."""
    voice, sizes = COURSES[one.name]
    said = _ENDS.search(one.idea)
    assert said is not None, one.idea
    first, last = PitchName.from_text(said[1]), PitchName.from_text(said[3])
    slots = [s for s in one.progression if s.onset + s.duration > one.theme.meters.bar_start(
        int(said[2])) and s.bar <= int(said[4])]  # fmt: skip
    if voice == "inner":
        wanted, steps = first.pitch_class, 0
        start, end = (one.theme.meters.bar_start(int(said[n]) + n // 4) for n in (2, 4))
        for span in one.spans:
            if not start <= span.onset < end:
                continue
            chord = next(s.chord for s in reversed(one.progression.slots) if s.onset <= span.onset)
            inside = {n.pitch_class for n in chord.names if n != chord.bass}
            if (wanted - 1) % 12 in inside and wanted != last.pitch_class:
                wanted, steps = (wanted - 1) % 12, steps + 1
        assert (wanted, steps >= 3) == (last.pitch_class, True), one.idea
        return
    line = [(s.bass if voice == "bass" else s.chord.root) for s in slots]
    assert first in line
    assert last in line
    runs = []
    for start, name in enumerate(line):
        if name != first:
            continue
        run = [name]
        for after in line[start + 1 :]:
            gap = (after.pitch_class - run[-1].pitch_class) % 12
            if gap and gap not in sizes:
                break
            run += [after] if gap else []
            if after == last:
                runs.append(len(run) - 1)
    assert max(runs, default=0) >= 3, one.idea


#: Ideas checked in a test of their own below.
ELSEWHERE = ("contrary bass", "common tone")


def check_distant(found, one):
    """The chord under the tune's highest note is farther from the key than every other.

    Far is a chord of another key (the remote rows of the idiom's own table), then one
    with more notes from outside the scale.
    """
    idiom = load_idiom(one.idiom)
    key = harmonic_key(found.melody.key, idiom)
    scale = {name.pitch_class for name in key.scale}
    if key.is_minor:
        scale.add((key.tonic.pitch_class + 11) % 12)
    rows = idiom.for_mode("chords", key, [])
    remote = {(row[0], row[1]) for row in rows if "remote" in row}

    def distance(slot):
        root = (slot.chord.root.pitch_class - key.tonic.pitch_class) % 12
        foreign = len(slot.chord.pitch_classes - scale)
        return foreign + 3 * ((root, slot.chord.quality.name) in remote)

    highest = max(found.melody.notes, key=lambda note: note.pitch.midi)
    there = at_time(one, highest.onset)
    assert (
        int(re.search(r"in bar (\d+)$", one.idea)[1]) == one.theme.meters.locate(highest.onset)[0]
    )
    assert highest.pitch.pitch_class in there.chord.pitch_classes
    assert all(distance(slot) < distance(there) for slot in one.progression if slot != there)


@pytest.mark.parametrize("idiom", IDIOMS)
@pytest.mark.parametrize("name", THEMES)
def test_what_is_said_is_there(name, idiom):
    theme = harmony.open_theme(find_corpora("loom_hall", f"{name}.abc"))
    found = harmony.harmonise(theme, idioms=(idiom,), count=10)
    plain = found.alternative(1)
    assert plain.name == "plain reference"
    judged = 0
    for one in found.alternatives[1:]:
        if one.name in COURSES:
            judged += 1
            check_course(one)
        elif one.name == "answer in the relative key":
            judged += 1
            bar, home = re.search(r"on (\S+) in bar (\d+)$", one.idea).group(2, 1)
            close = [s for s in one.progression if s.bar <= int(bar)][-1]
            before = one.progression.slots[one.progression.slots.index(close) - 1]
            assert str(close.chord.root) == home
            assert close.bass == close.chord.root
            assert (before.chord.root.pitch_class - close.chord.root.pitch_class) % 12 == 7
            assert before.chord.quality.name.startswith(("maj", "dom"))
        elif one.name == "another way":
            before = found.alternatives[: found.alternatives.index(one)]
            assert min(root_difference(one, other) for other in before) >= LEAST_DIFFERENCE
        elif one.name == "one distant chord":
            judged += 1
            check_distant(found, one)
        elif one.name in SAID:
            judged += 1
            measure = SAID[one.name]
            if one.name == "long notes reread":
                told = sum(map(int, re.findall(r"(\d+) (?:third|seventh|ninth)", one.idea)))
                assert told == count_reread(found, one)
                if one.idea.endswith(f"over {told} chords"):
                    continue  # all there are; the plain way may have as many
            assert measure(found, one) > measure(found, plain), one.name
        else:
            assert one.held or one.name in ELSEWHERE, one.name
    assert judged >= 5


@pytest.mark.parametrize("idiom", IDIOMS)
def test_whatever_the_idea_the_tune_closes_at_home(idiom):
    theme = harmony.open_theme(find_corpora("loom_hall", "pattern_drawer.abc"))
    found = harmony.harmonise(theme, idioms=(idiom,), count=6)
    for one in found.alternatives:
        assert (one.progression.slots[-1].chord.root.pitch_class - tonic_of(found)) % 12 == 0


#: The qualities that each way of planing may have, where the tune stays in the key.
PLANED = {
    "exact planing": {"maj"},
    "planed ninths": {"dom9"},
    "planed minor": {"min"},
    "planed dominants": {"dom7"},
    "planed sevenths": {"maj7", "min7", "dom7", "hdim7"},
    "scale planing": {"maj", "min", "dim"},
    "planing from the third": {"maj", "min", "dim"},
    "planing from the root": {"maj", "min", "dim"},
}


@pytest.mark.parametrize("name", ["shuttle", "lamps_out"])
def test_what_is_said_of_planing_is_there(name):
    theme = harmony.open_theme(find_corpora("loom_hall", f"{name}.abc"))
    found = harmony.harmonise(theme, idioms=("parallel",), count=8)
    last = found.melody.notes[-1].onset
    judged = 0
    for one in found.alternatives:
        if one.name in PLANED:
            judged += 1
            inside = [slot for slot in one.progression if slot.onset < last]
            assert {slot.chord.quality.name for slot in inside} <= PLANED[one.name], one.name
    assert judged >= 7


def gaps_of(chord):
    """The semitones from each note of a stack up to the next, lowest first."""
    return [(b.pitch_class - a.pitch_class) % 12 for a, b in pairwise(chord.names)]


def bars_told(text):
    """The bars a sentence says an idea is not followed in: ``but in bars 3, 9``."""
    told = re.search(r"but in bars? ([\d, ]+)$", text)
    return set() if told is None else set(map(int, told[1].split(",")))


#: What is said of every stack: of its size and of the semitones between its notes.
STACKED = {
    "stacks of fifths": lambda gaps: set(gaps) <= {6, 7} and gaps.count(6) <= 1,
    "exact planing": lambda gaps: gaps == [5, 5, 5],
    "augmented fourths": lambda gaps: 6 in gaps and set(gaps) <= {5, 6},
    "five notes": lambda gaps: len(gaps) == 4,
    "three notes": lambda gaps: len(gaps) == 2,
}


@pytest.mark.parametrize("name", [*THEMES, "night_shift"])
def test_stacks_are_what_they_are_said_to_be(name):
    theme = harmony.open_theme(find_corpora("loom_hall", f"{name}.abc"))
    found = harmony.harmonise(theme, idioms=("quartal",), count=12)
    ends = [found.melody.notes[phrase.last].onset for phrase in found.melody.phrases]
    judged = set()
    for one in found.alternatives:
        finals = {at_time(one, end).onset for end in ends}
        for slot in one.progression:
            gaps = gaps_of(slot.chord)
            tune = next(n for n in reversed(found.melody.notes) if n.onset <= slot.onset)
            assert slot.chord.stacked
            if slot.onset in finals:
                assert len(gaps) == 2, (one.name, slot.bar)  # the idiom's law
                if one.name in ("exact planing", "augmented fourths"):
                    continue
                if one.name == "five notes":
                    continue
            if one.name in STACKED and slot.bar not in bars_told(one.idea):
                assert STACKED[one.name](gaps), (one.name, slot.bar, tune)
            elif one.name != "stacks of fifths":
                assert set(gaps) <= {5, 6}
        judged |= {one.name} & {*STACKED}
    assert len(judged) >= 3, judged


@pytest.mark.parametrize("name", [*THEMES, "night_shift"])
def test_common_tones_and_contrary_basses_are_there(name):
    theme = harmony.open_theme(find_corpora("loom_hall", f"{name}.abc"))
    judged = 0
    for idiom in ("quartal", "modal"):
        found = harmony.harmonise(theme, idioms=(idiom,), count=12)
        for one in found.alternatives:
            if one.name == "common tone":
                check_common_tones(found, one)
                judged += 1
            elif one.name == "contrary bass":
                check_contrary(found, one)
                judged += 1
    assert judged >= 2


MODES = ("dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian", "phrygian dominant")


@pytest.mark.parametrize("mode", MODES)
def test_every_idiom_goes_through_every_mode(mode):
    key = Key.from_text(f"D {mode}")
    steps = (1, 2, 3, 4, 5, 4, 3, 2, 1, 3, 2, 1)
    notes = tuple(
        Note(Fraction(n), Fraction(1), key.degree(step).in_octave(4))
        for n, step in enumerate(steps)
    )
    theme = Theme(Line(notes), MeterMap.steady("4/4"), key)
    scale = {name.pitch_class for name in key.scale}
    for idiom in ("modal", "quartal", "parallel", "pedal", "common-practice", "ostinato"):
        found = harmony.harmonise(theme, idioms=(idiom,), key=key, count=3)
        for one in found.alternatives:
            assert one.progression.end == 12
            names = {str(note.name) for note in one.held}
            if mode != "locrian":
                assert names <= {str(name) for name in key.scale}
            if idiom == "modal":
                assert all(slot.chord.pitch_classes <= scale for slot in one.progression)
                assert one.progression.slots[-1].chord.root == key.tonic


def test_in_phrygian_dominant_triads_step_to_the_second_degree():
    """The major tonic and the triad a semitone above it (common practice)."""
    key = Key.from_text("D phrygian dominant")
    steps = (1, 2, 3, 2, 1, 2, 2, 1)
    notes = tuple(
        Note(Fraction(2 * n), Fraction(2), key.degree(step).in_octave(4))
        for n, step in enumerate(steps)
    )
    theme = Theme(Line(notes), MeterMap.steady("4/4"), key)
    one = harmony.harmonise(theme, idioms=("modal",), key=key, count=1).alternative(1)
    figures = [slot.figure for slot in one.progression]
    assert figures[0] == figures[-1] == "I"
    assert ("II", "I") in pairwise(figures)
    assert not any(slot.chord.quality.name == "aug" for slot in one.progression)

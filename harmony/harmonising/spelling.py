"""From chords found as numbers to chords spelled in their key and under their tune."""

from __future__ import annotations

import itertools
from functools import lru_cache

from harmony.chords.chord import Chord
from harmony.chords.naming import chord_symbol, figure_in_key
from harmony.chords.qualities import find_quality
from harmony.chords.sonority import read_sonority
from harmony.errors import HarmonyError
from harmony.harmonising.vocabulary import FIFTHS, Entry
from harmony.pitch.interval import transpose
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName

#: Roots of chords from outside the scale are named as flats, save under diminished chords.
_FIFTHS = (0, -5, 2, -3, 4, -1, 6, 1, -4, 3, -2, 5)
_FARTHEST = 14
_DOWN = {5: 1, 7: -1, 6: -6}  # steps along the fifths, by how many semitones a stack goes down


@lru_cache(maxsize=65536)
def spell_entry(
    entry: Entry, key: Key, tune: tuple[PitchName, ...], figures: str = "numerals"
) -> Chord:
    """Spell a chord of a vocabulary so that it agrees with the key and the tune's names.

    Of the root's enharmonic names the one is taken with which fewest of the tune's
    notes change their letter and whose notes lie nearest the key. ``figures`` says
    whether its figure is a numeral or a chord symbol.
    """
    if entry.quality.startswith("quartal"):
        return _spell_stack(entry, key, tune)
    quality = find_quality(entry.quality)
    best: tuple[float, Chord] | None = None
    centre = key.fifths + 2
    # An augmented triad may be named from any of its notes, a diminished seventh too.
    turns = {"aug": (0, 4, 8), "dim7": (0, 3, 6, 9)}.get(entry.quality, (0,))
    for turn, shift in itertools.product(turns, (0, -12, 12)):
        fifths = key.tonic.fifths + _FIFTHS[(entry.root + turn) % 12] + shift
        if abs(fifths) > _FARTHEST:
            continue
        root = PitchName.from_fifths(fifths)
        names: dict[int, PitchName] = {}
        for degree in quality.degrees:
            name = transpose(root, degree.interval)
            names.setdefault(name.pitch_class, name)
        clashes = sum(
            note.pitch_class in names and names[note.pitch_class] != note for note in tune
        )
        far = sum(abs(name.fifths - centre) for name in names.values()) / len(names)
        bass_pc = (key.tonic.pitch_class + entry.bass) % 12
        bass = names.get(bass_pc) or name_near(bass_pc, key)
        cost = (
            6.0 * clashes
            + far
            + 4.0 * (turn != 0)
            + 4.0 * sum(abs(name.alter) > 1 for name in names.values())
        )
        chord = Chord(root, quality, bass)
        if best is None or cost < best[0]:
            best = (cost, chord)
    assert best is not None
    chord = best[1]
    figure = chord_symbol(chord) if figures == "symbols" else _figure(chord, key)
    return Chord(chord.root, chord.quality, chord.bass, figure=figure)


def _figure(chord: Chord, key: Key) -> str:
    try:
        return figure_in_key(chord, key)
    except HarmonyError:
        return f"{chord.root}{chord.quality.name}"


@lru_cache(maxsize=4096)
def name_near(pitch_class: int, key: Key) -> PitchName:
    """The scale's own name of a pitch class, else the one nearest on the line of fifths."""
    own = next((name for name in key.scale if name.pitch_class == pitch_class), None)
    if own is not None:
        return own
    centre = key.fifths + 2
    return min(
        (PitchName.from_fifths(f) for f in range(centre - 8, centre + 9)
         if PitchName.from_fifths(f).pitch_class == pitch_class),
        key=lambda name: abs(name.fifths - centre),
    )  # fmt: skip


def _spell_stack(entry: Entry, key: Key, tune: tuple[PitchName, ...]) -> Chord:
    """Spell a stack of fourths or fifths letter by letter, its top as the tune names it."""
    pcs = [(key.tonic.pitch_class + entry.root + tone) % 12 for tone in entry.tones]
    top = next((n for n in tune if n.pitch_class == pcs[-1]), name_near(pcs[-1], key))
    down = dict(_DOWN)
    if entry.shape == FIFTHS:
        down[6] = 6  # the tritone among fifths is a diminished one
    names = [top]
    for pc in reversed(pcs[:-1]):
        gap = (names[0].pitch_class - pc) % 12
        # A fourth down is a step along the fifths, a fifth one back, an augmented fourth six.
        names.insert(0, PitchName.from_fifths(names[0].fifths + down[gap]))
    if any(abs(name.alter) > 1 for name in names):
        names = [name_near(pc, key) for pc in pcs]
    return stack_names(tuple(names))


@lru_cache(maxsize=4096)
def stack_names(names: tuple[PitchName, ...]) -> Chord:
    """The chord that keeps these names in their order, lowest first."""
    text = " ".join(map(str, names)) + ", stacked"
    chord = read_sonority(text)
    return Chord(
        chord.root, chord.quality, chord.bass, chord.added, chord.omitted,
        f"{{{text}}}", chord.fixed, chord.stacked,
    )  # fmt: skip

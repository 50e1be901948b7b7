"""The cost of moving from one set of pitches to another, outside any progression."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName
from harmony.voicings import learnt_chorale
from harmony.voicings.candidates import Frame, Voicings
from harmony.voicings.presets import load_preset
from harmony.voicings.sonority import Member, Role, Sonority
from harmony.voicings.steps import Steps

# Chords built in thirds, by semitones above the root; the first that fits names the members.
_SHAPES: tuple[tuple[int, ...], ...] = (
    (0, 4, 7),
    (0, 3, 7),
    (0, 3, 6),
    (0, 4, 8),
    (0, 4, 7, 10),
    (0, 3, 7, 10),
    (0, 4, 7, 11),
    (0, 3, 6, 10),
    (0, 3, 6, 9),
    (0, 3, 7, 11),
    (0, 4, 8, 11),
    (0, 4, 10),
    (0, 3, 10),
    (0, 4, 11),
    (0, 3, 11),
    (0, 4),
    (0, 3),
)
_ROLES: dict[int, Role] = {
    0: "root",
    3: "third",
    4: "third",
    6: "fifth",
    7: "fifth",
    8: "fifth",
    9: "seventh",
    10: "seventh",
    11: "seventh",
}
RELATIVE = "series_profile"
_SHARPS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLATS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")


def change_cost(
    previous: ArrayLike, current: ArrayLike, *, preset: str = "chorale", key: str | None = None
) -> float | NDArray[np.float64]:
    """The cost of going from one voicing to another: of the step, and of being there.

    Parameters
    ----------
    previous
        MIDI numbers, lowest first, shape (n,).
    current
        The same for where it goes, shape (n,), or many of them, shape (N, n).
    preset
        Whose weights are used.
    key
        Name of a major key, that of the signature.

    Returns
    -------
    float or ndarray
        One cost, or an array (N,).  Registers are no part of it, nor is the term
        `series_profile`, which only compares voicings of one chord with one another.

    Raises
    ------
    HarmonyError
        For other shapes, an unknown preset or key.
    """
    before, after = np.asarray(previous), np.asarray(current)
    if before.ndim != 1 or after.ndim not in (1, 2) or after.shape[-1] != before.shape[0]:
        raise HarmonyError(
            f"Voicings of shapes {before.shape} and {after.shape} do not go together;"
            " give (n,) and (n,), or (n,) and (N, n)."
        )
    chosen = load_preset(preset)
    read_key = None if key is None else Key.from_text(key)
    many = np.atleast_2d(after).astype(np.int16)
    if preset == "chorale" and learnt_chorale.is_covered(before.shape[0]):
        learnt = learnt_chorale.change_costs(before, many, read_key)
        return float(learnt[0]) if after.ndim == 1 else learnt
    total = np.zeros(len(many))
    start = as_voicings(np.atleast_2d(before).astype(np.int16), read_key)
    # Voicings of different chords are asked separately: doubling depends on the chord.
    signature = [(frozenset(row), row[0]) for row in (many % 12).tolist()]
    groups: dict[tuple[frozenset[int], int], list[int]] = {}
    for number, mark in enumerate(signature):
        groups.setdefault(mark, []).append(number)
    for numbers in groups.values():
        there = as_voicings(many[numbers], read_key)
        steps = Steps(start, there)
        for cost in chosen.costs:
            rate = chosen.weights[cost.name] / cost.grain
            if not rate or cost.name == RELATIVE:
                continue
            single, pair = cost.single(there), cost.pair(steps)
            total[numbers] += 0 if single is None else rate * single
            total[numbers] += 0 if pair is None else rate * pair[0]
    return float(total[0]) if after.ndim == 1 else total


def as_voicings(pitches: NDArray[np.int16], key: Key | None) -> Voicings:
    """Voicings of one chord from bare pitches, shape (n, voices), lowest voice first."""
    sonority = name_sonority(frozenset((pitches[0] % 12).tolist()), int(pitches[0, 0]) % 12, key)
    voices = pitches.shape[1]
    frame = Frame((0,) * voices, (127,) * voices, (0,) * (voices - 1))
    table = np.zeros(12, dtype=np.int8)
    for number, pitch_class in enumerate(sonority.pitch_classes):
        table[pitch_class] = number
    return Voicings(sonority, frame, pitches, table[pitches % 12])


def name_sonority(pitch_classes: frozenset[int], bass: int, key: Key | None) -> Sonority:
    """Take pitch classes for a chord: built in thirds if they fit one, else as they are."""
    names = _FLATS if key is not None and key.fifths < 0 else _SHARPS
    found = find_root(pitch_classes, bass)
    order = sorted(pitch_classes, key=lambda c: (c - bass) % 12)
    if found is None:
        members = tuple(Member(PitchName.from_text(names[c]), "own") for c in order)
        return Sonority(members, key=key, is_tertian=False, inversion=None)
    root, shape = found
    roles = {(root + above) % 12: _ROLES[above] for above in shape}
    members = tuple(
        Member(PitchName.from_text(names[c]), roles[c], _pull(c, root, shape, roles[c], key))
        for c in order
    )
    inversion = ("root", "third", "fifth", "seventh").index(roles[bass])
    return Sonority(members, key=key, inversion=inversion)


def find_root(pitch_classes: frozenset[int], bass: int) -> tuple[int, tuple[int, ...]] | None:
    """The root and shape of a chord in thirds with these pitch classes, the bass preferred."""
    for shape in _SHAPES:
        for root in sorted(pitch_classes, key=lambda c: (c - bass) % 12):
            if {(root + above) % 12 for above in shape} == pitch_classes:
                return root, shape
    return None


def _pull(pitch_class: int, root: int, shape: tuple[int, ...], role: Role, key: Key | None) -> int:
    if role == "seventh":
        return -1
    if role == "third" and (pitch_class - root) % 12 == 4 and 10 in shape:
        return 1
    is_diminished_root = role == "root" and {3, 6} <= set(shape) and 10 not in shape
    if is_diminished_root:
        return 1
    leading = None if key is None else (key.tonic.pitch_class - 1) % 12
    return 1 if role == "third" and pitch_class == leading and (pitch_class - root) % 12 == 4 else 0

"""What the learnt chorale costs look at: for every step, a row in each of some twenty tables.

A scene is a set of steps between four-part voicings; a table reads one aspect of
it, such as the move of each voice, and gives the row that applies. Voices are
counted from the bass. The same definitions serve the fit, where steps stand in a
list, and the search, where every voicing before meets every voicing after.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int32]

VOICES = 4
LOWEST, COMPASS = 36, 46
NEIGHBOURS = ((0, 1), (1, 2), (2, 3))
PAIRS = ((0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3))
_LOWER, _UPPER = (np.array(side) for side in zip(*PAIRS, strict=True))

FIFTH, OCTAVE, UNISON = 7, 0, 12
OBLIQUE, SIMILAR, CONTRARY, PARALLEL = range(4)
_KIND_BY_SIGN = np.array([OBLIQUE, SIMILAR, CONTRARY], np.int32)  # 0, +, and - by wrapping
SMALL_MOVE = 4  # a third; wider is a leap
_WIDEST = 13
_NEAR = 7

# Chords by semitones above the root, commoner readings first.
_KINDS = (
    (0, 4, 7), (0, 3, 7), (0, 3, 6), (0, 4, 8), (0, 4, 7, 10), (0, 4, 7, 11), (0, 3, 7, 10),
    (0, 3, 6, 10), (0, 3, 6, 9), (0, 3, 7, 11), (0, 4, 8, 11), (0, 4, 10), (0, 3, 10), (0, 4, 11),
    (0, 3, 11), (0, 6, 10), (0, 4, 6, 10), (0, 4, 8, 10), (0, 2, 7), (0, 5, 7), (0, 7, 10),
    (0, 7, 11), (0, 2, 4, 7), (0, 2, 3, 7), (0, 5, 7, 10), (0, 7), (0, 4), (0, 3), (0, 5), (0,),
)  # fmt: skip
OTHER_KIND = len(_KINDS)
_WITHOUT_FIFTH = ((0, 4), (0, 3), (0, 4, 10), (0, 3, 10), (0, 4, 11), (0, 3, 11))
# How strongly a note a given interval above supports a root (Parncutt 1988, later weights).
_SUPPORT = {0: 10, 7: 5, 4: 3, 10: 2, 2: 1}
_DOUBLINGS = 103


def _clip(values: Whole, least: int, most: int) -> Whole:
    clipped: Whole = np.minimum(np.maximum(values, least), most)
    return clipped


def _name_chords() -> tuple[Whole, Whole]:
    """For every set of intervals above the bass, as bits: the root above it, and the kind."""
    root, kind = np.full(4096, -1, np.int32), np.full(4096, OTHER_KIND, np.int32)
    for number, shape in enumerate(_KINDS):
        for above in range(12):
            bits = sum(1 << (above + x) % 12 for x in shape)
            if root[bits] < 0:
                root[bits], kind[bits] = above, number
    names = np.arange(12)
    present = np.arange(4096)[:, None] >> names & 1
    weights = np.array([_SUPPORT.get(x, 0) for x in range(12)])
    support = present @ weights[(names[:, None] - names) % 12]
    best = np.where(present == 1, support, -1).argmax(axis=1)
    return np.where(root < 0, best, root).astype(np.int32), kind


_ROOT_ABOVE_BASS, _KIND = _name_chords()


def _number_fifthless() -> Whole:
    """For every kind and inversion 0, or a number of its own if the perfect fifth is missing."""
    rows = np.zeros((OTHER_KIND + 1, 12), np.int32)
    for number, shape in enumerate(_WITHOUT_FIFTH):
        rows[_KINDS.index(shape)] = 1 + number * 12 + np.arange(12)
    return rows.ravel()


_FIFTHLESS_ROW = _number_fifthless()


@dataclass(frozen=True, eq=False)
class Chords:
    """Voicings, and the chords they are: ``pitches`` (4, ...) MIDI numbers, lowest first."""

    pitches: Whole

    @cached_property
    def bits(self) -> Whole:
        """The pitch classes, as bits."""
        bits: Whole = np.bitwise_or.reduce(1 << self.pitches % 12, axis=0)
        return bits

    @cached_property
    def bass(self) -> Whole:
        """Pitch class of the lowest note."""
        bass: Whole = self.pitches[0] % 12
        return bass

    @cached_property
    def _above_bass(self) -> Whole:
        return ((self.bits >> self.bass) | (self.bits << (12 - self.bass))) & 4095

    @cached_property
    def root(self) -> Whole:
        """Pitch class of the root."""
        return (_ROOT_ABOVE_BASS[self._above_bass] + self.bass) % 12

    @cached_property
    def kind(self) -> Whole:
        """Kind of chord and inversion, as one number."""
        return _KIND[self._above_bass] * 12 + _ROOT_ABOVE_BASS[self._above_bass]

    @cached_property
    def members(self) -> Whole:
        """Semitones of every voice above the root, (4, ...)."""
        return (self.pitches - self.root) % 12

    @cached_property
    def gaps(self) -> Whole:
        """Semitones between neighbours, (3, ...)."""
        return self.pitches[1:] - self.pitches[:-1]

    def doubled(self, reference: Whole | int) -> tuple[Whole, Whole]:
        """Find the doubled notes, as semitones above a pitch class.

        Returns a number for the set of them, below 103, and them singly, (3, ...):
        1 and the semitones, greatest first, 0 where there is none.
        """
        ordered = np.sort((self.pitches - reference) % 12, axis=0)
        extra = np.where(ordered[1:] == ordered[:-1], ordered[1:] + 1, 0)
        extra = -np.sort(-extra, axis=0)
        one, two, three = extra
        code = np.where(two == 0, one, 13 + (one - 1) * one // 2 + two - 1)
        return np.where(three == 0, code, 90 + one).astype(np.int32), extra.astype(np.int32)


@dataclass(frozen=True, eq=False)
class Scene:
    """Steps from ``before`` to ``after``, whose shapes go together; ``tonic`` a pitch class.

    The tonic is that of the major key with the printed signature.
    """

    before: Chords
    after: Chords
    tonic: Whole | int

    @cached_property
    def moves(self) -> Whole:
        """Semitones every voice moves, (4, ...)."""
        return self.after.pitches - self.before.pitches

    @cached_property
    def near_moves(self) -> Whole:
        """The moves, from 0 for a fifth or more down to 14 for a fifth or more up."""
        return _clip(self.moves, -_NEAR, _NEAR) + _NEAR

    @cached_property
    def doubled(self) -> tuple[Whole, Whole]:
        """The doubled notes after the step, above the tonic; see `Chords.doubled`."""
        return self.after.doubled(self.tonic)

    @cached_property
    def bass_degree(self) -> Whole:
        """Semitones of the new bass above the tonic."""
        return (self.after.bass - self.tonic) % 12

    @cached_property
    def bass_step(self) -> Whole:
        """The step from bass to bass, 0 to 11 semitones up."""
        return (self.after.bass - self.before.bass) % 12


@dataclass(frozen=True, slots=True)
class Aspect:
    """One table: ``read`` gives the rows for a scene, shape (groups, ...).

    ``groups`` are the voices each of its sub-tables is about; ``rows`` the number of
    rows of each. A row's contribution goes to the term ``terms[place(row)]``; but what
    makes a step commoner goes to the first term, so that the others, which name faults,
    never lie below 0.
    ``needs_key`` and ``is_single`` say whether the signature is read, and whether
    the voicing alone is.
    """

    name: str
    terms: tuple[str, ...]
    groups: tuple[tuple[int, ...], ...]
    rows: int
    read: Callable[[Scene], Whole]
    needs_key: bool = False
    is_single: bool = False
    place: Callable[[Whole], Whole] | None = None


# Moves by size either way: none, step, third, up to a fifth, wider; 4 is none.
_SIZES = np.array([0] * 6 + [1] * 3 + [2] * 2 + [3] * 2 + [4], np.int32)
_SIZES = np.concatenate([_SIZES, 8 - _SIZES[-2::-1]])
_STAYS, _NOT_SHARED, _TOUCHES = 4, 8, 8


def _register(scene: Scene) -> Whole:
    return _clip(scene.after.pitches - LOWEST, 0, COMPASS - 1)


def _gaps(scene: Scene) -> Whole:
    return _clip(scene.after.gaps, 0, 27)


def _gap_pairs(scene: Scene) -> Whole:
    gaps = scene.after.gaps
    return _clip(gaps[[0, 0, 1]], 0, 27) * 16 + _clip(gaps[[1, 2, 2]], 0, 15)


def _compass(scene: Scene) -> Whole:
    return _clip(scene.after.pitches[3] - scene.after.pitches[0], 0, COMPASS - 1)[None]


def _arrangement(scene: Scene) -> Whole:
    _, tenor, alto, soprano = (scene.after.pitches - scene.after.bass) % 12
    rows: Whole = ((tenor * 12 + alto) * 12 + soprano)[None]
    return rows


def _without_fifth(scene: Scene) -> Whole:
    return _FIFTHLESS_ROW[scene.after.kind][None]


def _doubled_in_kind(scene: Scene) -> Whole:
    chord = scene.after
    return (chord.kind * _DOUBLINGS + chord.doubled(chord.root)[0])[None]


def _doubled_degrees(scene: Scene) -> Whole:
    _, extra = scene.doubled
    member = (extra - 1 + scene.tonic - scene.after.root) % 12
    return np.where(extra > 0, (extra - 1) * 12 + member + 1, 0)


def _doubled_at_step(scene: Scene) -> Whole:
    _, extra = scene.doubled
    row = ((extra - 1) * 12 + scene.bass_degree) * 12 + scene.bass_step + 1
    return np.where(extra > 0, row, 0)


def _doubling_change(scene: Scene) -> Whole:
    old, new = scene.before.doubled(scene.tonic)[0], scene.doubled[0]
    return (np.minimum(old, 13) * 14 + np.minimum(new, 13))[None]


def _moves(scene: Scene) -> Whole:
    return _clip(scene.moves, -_WIDEST, _WIDEST) + _WIDEST


def _moves_from_degree(scene: Scene) -> Whole:
    return _moves(scene) * 12 + (scene.before.pitches - scene.tonic) % 12


def _moves_from_member(scene: Scene) -> Whole:
    root_step = (scene.after.root - scene.before.root) % 12
    return (scene.near_moves * 12 + scene.before.members) * 12 + root_step


def _moves_above_bass(scene: Scene) -> Whole:
    above = (scene.before.pitches - scene.before.bass) % 12
    return (scene.near_moves * 12 + above) * 12 + scene.bass_step


def _moves_to_member(scene: Scene) -> Whole:
    return scene.near_moves * 12 + scene.after.members


def _common_tones(scene: Scene) -> Whole:
    is_shared = (scene.after.bits >> scene.before.pitches % 12) & 1
    return is_shared * 9 + _SIZES[_moves(scene)]


def _pair_moves(scene: Scene) -> Whole:
    rows: Whole = scene.near_moves[_LOWER] * 15 + scene.near_moves[_UPPER]
    return rows


def _classify(interval: Whole) -> Whole:
    return np.where(interval == 0, UNISON, interval % 12)


def _pattern(scene: Scene) -> Whole:
    """Read for every voice whether it rests, steps or leaps, and which way: 625 patterns."""
    bass, tenor, alto, soprano = _clip(_SIZES[_moves(scene)], 2, 6) - 2
    rows: Whole = (((bass * 5 + tenor) * 5 + alto) * 5 + soprano)[None]
    return rows


def _total_motion(scene: Scene) -> Whole:
    return _clip(np.abs(scene.moves).sum(axis=0), 0, 40)[None]


def _interval_steps(scene: Scene) -> Whole:
    low, high = scene.moves[_LOWER], scene.moves[_UPPER]
    old, new = scene.before.pitches, scene.after.pitches
    together = low * high
    kind: Whole = _KIND_BY_SIGN.take(np.sign(together), mode="wrap")
    kind += (PARALLEL - SIMILAR) * ((low == high) & (together > 0))
    classes = _classify(old[_UPPER] - old[_LOWER]) * 13 + _classify(new[_UPPER] - new[_LOWER])
    rows: Whole = classes * 4 + kind
    return rows


def place_interval_step(row: Whole) -> Whole:
    """Say which rows of "interval steps" are consecutive perfects (1), which direct ones (2)."""
    old, new, kind = row // 52, row // 4 % 13, row % 4
    is_perfect = np.isin(new, (FIFTH, OCTAVE, UNISON))
    is_alike = (kind == SIMILAR) | (kind == PARALLEL)
    is_consecutive = (old % UNISON == new % UNISON) & (is_alike | (kind == CONTRARY))
    return np.where(is_perfect & is_consecutive, 1, np.where(is_perfect & is_alike, 2, 0))


def _outer_voices(scene: Scene) -> Whole:
    interval = _classify(scene.after.pitches[3] - scene.after.pitches[0])
    rows: Whole = ((interval * 15 + scene.near_moves[3]) * 3 + np.sign(scene.moves[0]) + 1)[None]
    return rows


def _place_common_tone(row: Whole) -> Whole:
    return np.where((row > _NOT_SHARED) & (row != _NOT_SHARED + 1 + _STAYS), 1, 0)


def _place_outer(row: Whole) -> Whole:
    interval, top, bass = row // 45, row // 3 % 15 - _NEAR, row % 3 - 1
    return np.where(np.isin(interval, (FIFTH, OCTAVE, UNISON)) & (top * bass > 0), 1, 0)


def _overlap(scene: Scene) -> Whole:
    old, new = scene.before.pitches, scene.after.pitches
    rising, falling = new[:-1] - old[1:], new[1:] - old[:-1]
    return np.concatenate([_clip(rising, -8, 6) + 8, 8 - _clip(falling, -6, 8)])


def _gap_changes(scene: Scene) -> Whole:
    old, new = (_clip(chord.gaps, 0, 19) for chord in (scene.before, scene.after))
    return old * 20 + new


def _position(chord: Chords) -> Whole:
    """How far the three upper voices spread, 0 for very close to 6 for very open."""
    return _clip((chord.pitches[3] - chord.pitches[1]) // 3, 0, 6)


def _position_change(scene: Scene) -> Whole:
    return (_position(scene.before) * 7 + _position(scene.after))[None]


def _top_degrees(scene: Scene) -> Whole:
    degree = (scene.before.pitches[3] - scene.tonic) % 12
    rows: Whole = ((scene.near_moves[3] * 12 + degree) * 12 + scene.bass_degree)[None]
    return rows


_EACH = tuple((voice,) for voice in range(VOICES))
_ALL = (tuple(range(VOICES)),)
_TOP = ((VOICES - 1,),)
_UPPER_THREE = ((1, 2, 3),)

ASPECTS = (
    Aspect("register", ("register",), _EACH, COMPASS, _register, is_single=True),
    Aspect("gaps", ("spacing",), NEIGHBOURS, 28, _gaps, is_single=True),
    Aspect("gap pairs", ("spacing",), ((0, 1, 2), (0, 1, 2, 3), (1, 2, 3)), 448, _gap_pairs,
           is_single=True),
    Aspect("compass", ("spacing",), _ALL, COMPASS, _compass, is_single=True),
    Aspect("arrangement", ("spacing",), _ALL, 1728, _arrangement, is_single=True),
    Aspect("doubled in kind", ("doubling",), _ALL, (OTHER_KIND + 1) * 12 * _DOUBLINGS,
           _doubled_in_kind, is_single=True),
    Aspect("without fifth", ("completeness",), _ALL, 1 + 12 * len(_WITHOUT_FIFTH), _without_fifth,
           is_single=True),
    Aspect("doubled degrees", ("doubling",), _ALL * 3, 145, _doubled_degrees, needs_key=True,
           is_single=True),
    Aspect("doubled at step", ("doubling",), _ALL * 3, 1729, _doubled_at_step, needs_key=True),
    Aspect("doubling change", ("doubling",), _ALL, 196, _doubling_change, needs_key=True),
    Aspect("moves", ("motion", "leaps"), _EACH, 27, _moves,
           place=lambda row: (np.abs(row - _WIDEST) > SMALL_MOVE).astype(np.int32)),
    Aspect("pair moves", ("motion",), PAIRS, 225, _pair_moves),
    Aspect("pattern", ("motion",), _ALL, 625, _pattern),
    Aspect("total motion", ("motion",), _ALL, 41, _total_motion),
    Aspect("interval steps", ("motion", "consecutive_perfects", "direct_perfects"), PAIRS, 676,
           _interval_steps, place=place_interval_step),
    Aspect("moves from degree", ("resolution",), _EACH, 324, _moves_from_degree, needs_key=True),
    Aspect("moves from member", ("resolution",), _EACH, 2160, _moves_from_member),
    Aspect("moves above bass", ("resolution",), _EACH, 2160, _moves_above_bass),
    Aspect("moves to member", ("resolution",), _EACH, 180, _moves_to_member),
    Aspect("common tones", ("motion", "common_tones"), _EACH, 18, _common_tones,
           place=_place_common_tone),
    Aspect("outer voices", ("top_line", "direct_perfects"), ((0, 3),), 585, _outer_voices,
           place=_place_outer),
    Aspect("overlap", ("motion", "overlap"), NEIGHBOURS * 2, 15, _overlap,
           place=lambda row: (row > _TOUCHES).astype(np.int32)),
    Aspect("gap changes", ("spacing",), NEIGHBOURS, 400, _gap_changes),
    Aspect("position change", ("spacing",), _UPPER_THREE, 49, _position_change),
    Aspect("top degrees", ("top_line",), _TOP, 2160, _top_degrees, needs_key=True),
)  # fmt: skip

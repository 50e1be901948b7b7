"""The chords an idiom has in a key, as arrays the search can weigh."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from harmony.chords.leadsheet import read_symbol
from harmony.chords.qualities import find_quality, rows_by_name
from harmony.errors import HarmonyError
from harmony.harmonising.idiom import Idiom
from harmony.harmonising.syntax import QUALITIES, load_syntax
from harmony.pitch.key import Key

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]

FREE = -1
#: Planing shapes: a name, what the tune is in the chord, and the chord's quality
#: ("scale" for whatever the scale gives).
SHAPES: tuple[tuple[str, int, str], ...] = (
    ("scale triads under their fifth", 5, "scale"),
    ("scale triads under their third", 3, "scale"),
    ("scale triads under their root", 1, "scale"),
    ("scale sevenths under their seventh", 7, "scale7"),
    ("major triads under their fifth", 5, "maj"),
    ("major triads under their third", 3, "maj"),
    ("major triads under their root", 1, "maj"),
    ("minor triads under their fifth", 5, "min"),
    ("minor triads under their root", 1, "min"),
    ("dominant sevenths under their seventh", 7, "dom7"),
    ("dominant ninths under their ninth", 9, "dom9"),
)
#: Kinds of stack, as the shapes of their entries: fourths all perfect, one of them
#: augmented, or fourths turned over into fifths.
PERFECT, MIXED, FIFTHS = range(3)


@dataclass(frozen=True, slots=True)
class Entry:
    """One chord above the tonic: root and bass in semitones, quality, its own cost.

    ``tones`` are its pitch classes above the root, from the bass up where their
    order is kept. ``top`` is the pitch class the tune must have (FREE: any member);
    ``shape`` numbers the planing shape or the kind of stack it belongs to (FREE: none).
    """

    root: int
    quality: str
    bass: int
    tones: tuple[int, ...]
    cost: float = 0.0
    is_remote: bool = False
    top: int = FREE
    shape: int = FREE


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """All chords of an idiom in a key; every array has one value a chord.

    Pitch classes count from the key's tonic. ``members`` has shape (n, 12).
    """

    idiom: Idiom
    key: Key
    entries: tuple[Entry, ...]
    roots: IntArray
    basses: IntArray
    kinds: IntArray
    members: BoolArray
    own_costs: FloatArray
    is_remote: BoolArray
    tops: IntArray
    shapes: IntArray
    outside: IntArray

    def __len__(self) -> int:
        return len(self.entries)

    @property
    def sizes(self) -> IntArray:
        """How many notes each chord has, (n,)."""
        return np.array([len(one.tones) for one in self.entries], np.intp)

    @property
    def has_tritone(self) -> BoolArray:
        """Whether two neighbouring tones of a chord are a tritone apart, (n,)."""
        return np.array(
            [any((b - a) % 12 == 6 for a, b in pairwise(one.tones)) for one in self.entries]
        )

    def find(self, root: int, quality: str, bass: int | None = None) -> list[int]:
        """The places of chords with this root (above the tonic), quality and bass."""
        return [
            place
            for place, one in enumerate(self.entries)
            if one.root == root and one.quality == quality and bass in (None, one.bass)
        ]


def quality_tones(name: str) -> tuple[int, ...]:
    """The pitch classes of a quality above its root, in the order of its degrees."""
    return tuple(dict.fromkeys(d.interval.semitones % 12 for d in find_quality(name).degrees))


def scale_of(key: Key) -> tuple[int, ...]:
    """The scale's pitch classes above the tonic."""
    return tuple((n.pitch_class - key.tonic.pitch_class) % 12 for n in key.scale)


def harmonic_key(key: Key, idiom: Idiom) -> Key:
    """The key an idiom hears a melody in.

    Idioms of major and minor hear Dorian as minor, Lydian and Mixolydian as major,
    and a Phrygian melody in the minor key whose dominant its final is, as the
    chorales harmonise it (Aldwell and Schachter).
    """
    if idiom.table["keys"] == "modes" or key.mode in ("major", "minor"):
        return key
    if key.mode in ("phrygian", "phrygian dominant", "locrian"):
        return Key(type(key.tonic).from_fifths(key.tonic.fifths - 1), "minor")
    return Key(key.tonic, "minor" if key.is_minor else "major")


def build_vocabulary(idiom: Idiom, key: Key) -> Vocabulary:
    """Give the chords of an idiom in a key."""
    makers = {
        "learnt": _learnt, "chain": _chain, "pedal": _chain, "ostinato": _chain, "own": _own,
        "quartal": _quartal, "parallel": _planing,
    }  # fmt: skip
    entries = tuple(dict.fromkeys(makers[idiom.engine](idiom, key)))
    return pack(idiom, key, entries)


def pack(idiom: Idiom, key: Key, entries: Sequence[Entry]) -> Vocabulary:
    """Set entries out as arrays."""
    scale = set(scale_of(key)) | ({11} if key.mode == "minor" else set())
    members = np.zeros((len(entries), 12), bool)
    for place, one in enumerate(entries):
        members[place, [(one.root + tone) % 12 for tone in one.tones]] = True
        members[place, one.bass] |= idiom.engine != "pedal"
    names = sorted({one.quality for one in entries})
    outside = members[:, [pc for pc in range(12) if pc not in scale]].sum(axis=1)
    return Vocabulary(
        idiom,
        key,
        tuple(entries),
        np.array([one.root for one in entries], np.intp),
        np.array([one.bass for one in entries], np.intp),
        np.array([names.index(one.quality) for one in entries], np.intp),
        members,
        np.array([one.cost for one in entries]),
        np.array([one.is_remote for one in entries]),
        np.array([one.top for one in entries], np.intp),
        np.array([one.shape for one in entries], np.intp),
        outside,
    )


def _learnt(_idiom: Idiom, key: Key) -> list[Entry]:
    chords = load_syntax(is_minor=key.is_minor).chords
    return [
        Entry(int(r), QUALITIES[k], int(b), quality_tones(QUALITIES[k]))
        for r, k, b in zip(chords.roots, chords.kinds, chords.basses, strict=True)
    ]


def _chain(idiom: Idiom, key: Key) -> list[Entry]:
    table = idiom.table
    bare: list[tuple[int, str, float, bool]] = []
    if "diatonic" in table:
        bare += [(r, q, c, False) for r, q, c in _diatonic(table["diatonic"], key,
                                                           table["sevenths_cost"])]  # fmt: skip
    if "borrowed_cost" in table:
        extra = ((7, "maj"), (7, "dom7"), (11, "dim7"), (5, "maj")) if key.is_minor else (
            (5, "min"), (10, "maj"), (8, "maj"), (2, "dom7"))  # fmt: skip
        bare += [(r, q, table["borrowed_cost"], False) for r, q in extra]
    if table.get("triads") == "all":
        bare += [
            (r, q, table.get("triads_cost", 0.1), False)
            for r, q in product(range(12), ("maj", "min"))
        ]
    for row in idiom.for_mode("chords", key, []):
        bare.append((row[0], row[1], row[2], len(row) > 3))
    inversions = table["inversions"]
    entries = []
    for root, quality, cost, remote in bare:
        tones = quality_tones(quality)
        basses = [0] if table.get("root_position_only") else range(min(len(tones), 4))
        for place in basses:
            price = inversions[min(place, len(inversions) - 1)]
            if quality == "dim":
                price = 0.4 if place == 1 else 2.5
            if price >= 9:
                continue
            # A root-position triad is the plain case, a seventh's third inversion must earn it.
            entries.append(
                Entry(root, quality, (root + tones[place]) % 12, tones, cost + price, remote)
            )
    return entries


def _diatonic(kinds: Iterable[str], key: Key, sevenths_cost: float) -> list[tuple[int, str, float]]:
    """Triads and sevenths of a scale: root above the tonic, quality, cost."""
    scale = scale_of(key)
    by_tones = {quality_tones(name): name for name in reversed(_PLAIN)}
    found = []
    for place in range(7):
        stack = [scale[(place + 2 * n) % 7] for n in range(4)]
        tones = tuple((pc - stack[0]) % 12 for pc in stack)
        for kind, count, cost in (("triad", 3, 0.0), ("seventh", 4, sevenths_cost)):
            name = by_tones.get(tones[:count])
            if kind in kinds and name is not None and cost < 9:
                found.append((stack[0], name, cost + _UNSTABLE.get(name, 0.0)))
    return found


_UNSTABLE = {"dim": 0.8, "aug": 2.0}
_PLAIN = ("maj", "min", "dim", "aug", "dom7", "maj7", "min7", "hdim7", "dim7", "minmaj7")


def _own(idiom: Idiom, key: Key) -> list[Entry]:
    tonic = key.tonic.pitch_class
    entries = []
    for symbol in idiom.own_chords:
        chord = read_symbol(symbol)
        root = chord.root.pitch_class
        tones = tuple((n.pitch_class - root) % 12 for n in chord.names)
        quality = chord.quality.name
        if quality not in rows_by_name():
            raise HarmonyError(f"The chord {symbol!r} of the own list is not in the chord table.")
        entries.append(
            Entry((root - tonic) % 12, quality, (chord.bass.pitch_class - tonic) % 12, tones)
        )
    return entries


def _quartal(idiom: Idiom, key: Key) -> list[Entry]:
    """Stacks from every note: of fourths, one of them augmented or none; of fifths likewise."""
    scale, table = set(scale_of(key)), idiom.table
    stacks = [(5, size, {3: 0.3, 4: 0.0, 5: 0.15}[size]) for size in table["sizes"]]
    stacks += [(7, size, table["fifths_cost"]) for size in table["fifths"]]
    entries = []
    for low, (step, size, price) in product(range(12), stacks):
        for odd in (None, *range(size - 1)):
            tones = [0]
            for gap in range(size - 1):
                tones.append(tones[-1] + (6 if gap == odd else step))
            pcs = [(low + tone) % 12 for tone in tones]
            out = sum(pc not in scale for pc in pcs)
            if len(set(pcs)) < size or (odd is not None and out):
                continue
            kind = FIFTHS if step == 7 else PERFECT if odd is None else MIXED
            cost = price + (table["augmented_cost"] if odd is not None else 0.0) + 0.9 * out
            # Stacks with their tritone in another place are other chords.
            name = f"quartal {size} by {step}" + ("" if odd is None else f", tritone {odd}")
            above = tuple(tone % 12 for tone in tones)
            entries.append(Entry(low, name, low, above, cost, top=pcs[-1], shape=kind))
    return entries


def _planing(_idiom: Idiom, key: Key) -> list[Entry]:
    """For each shape and each note of the tune the chord beneath it."""
    scale = scale_of(key)
    entries = []
    for number, (_, member, quality) in enumerate(SHAPES):
        for top in range(12):
            if quality.startswith("scale"):
                if top not in scale:
                    continue
                root = scale[(scale.index(top) - (member - 1)) % 7]
                kind = "seventh" if quality == "scale7" else "triad"
                named = {r: q for r, q, _ in _diatonic([kind], key, 0.0)}
                if root not in named:
                    continue  # a seventh without a name, as the augmented one of some modes
                name = named[root]
            else:
                tones = quality_tones(quality)
                root, name = (top - tones[{1: 0, 3: 1, 5: 2, 7: 3, 9: 4}[member]]) % 12, quality
            entries.append(Entry(root, name, root, quality_tones(name), 0.0, top=top, shape=number))
    return entries

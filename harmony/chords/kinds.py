"""Chords as MusicXML writes them: a root, a kind-value, a bass and degree elements."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from harmony.chords.chord import Chord
from harmony.chords.qualities import find_quality, name_degrees, rows_by_name
from harmony.chords.quality import Degree
from harmony.errors import HarmonyError
from harmony.pitch.interval import transpose
from harmony.pitch.spelling import PitchName
from harmony.tables.reading import read_rows

DEGREE_TYPES = ("add", "alter", "subtract")
#: Kinds whose content is counted from the tonic, with the degree in the bass.
_FUNCTIONAL_BASS = {"Neapolitan": "4", "Italian": "b6", "French": "b6", "German": "b6"}
_FUNCTIONAL_FIGURES = {"Neapolitan": "N6", "Italian": "It6", "French": "Fr43", "German": "Ger65"}
_SIXTHS = {"it6": Degree(3, -2), "ger6": Degree(3, -2), "fr6": Degree(5, -1), "sw6": Degree(5, -2)}


@dataclass(frozen=True, slots=True)
class KindDegree:
    """A ``<degree>``: its value (1 to 13), its alteration in semitones, its type.

    ``alter`` is as MusicXML counts: for ``add`` against the major and perfect
    intervals with a minor seventh, for ``alter`` and ``subtract`` against the
    kind's own degree.
    """

    value: int
    alter: int
    type: str

    def __post_init__(self) -> None:
        if self.type not in DEGREE_TYPES:
            raise HarmonyError(f"{self.type!r} is no degree-type; known are add, alter, subtract.")


@dataclass(frozen=True, slots=True)
class ChordKind:
    """What a ``<harmony>`` holds.

    ``kind`` is a MusicXML 4.0 kind-value, ``text`` what is printed after the
    root, ``bass`` None in root position.
    """

    root: PitchName
    kind: str
    text: str
    bass: PitchName | None
    degrees: tuple[KindDegree, ...]


@dataclass(frozen=True, slots=True)
class KindRow:
    """A row of data/kinds.csv: a kind-value, the degrees it stands for, its symbol."""

    kind: str
    degrees: tuple[Degree, ...]
    symbol: str
    source: str


def _build_row(row: Mapping[str, str]) -> KindRow:
    degrees = tuple(Degree.from_text(part) for part in row["degrees"].split())
    return KindRow(row["kind"], degrees, row["symbol"], row["source"])


@cache
def kind_rows() -> dict[str, KindRow]:
    """Give every kind-value of MusicXML 4.0 with the degrees it stands for."""
    rows = read_rows("kinds.csv", _build_row, needs=("kind", "degrees", "symbol"))
    return {row.kind: row for row in rows}


@lru_cache(maxsize=4096)
def chord_to_kind(chord: Chord | None) -> ChordKind | None:
    """Give the MusicXML form of a chord; None for N.C. (kind ``none``).

    An augmented sixth is written on its lowered sixth degree as a major triad
    with an added raised sixth, so that every reader sounds the notes meant; a
    sonority that has no kind is ``other`` with all its degrees added.
    """
    if chord is None:
        return None
    root, name = chord.root, chord.quality.name
    if name in _SIXTHS and not chord.added and not chord.omitted:
        return _sixth_to_kind(chord)
    bass = None if chord.bass == root else chord.bass
    if name not in rows_by_name():
        near, rest = name_degrees(frozenset(chord.degrees))
        if near.name in rows_by_name():
            # A polychord over a known chord is that chord with notes added.
            return chord_to_kind(Chord(root, near, chord.bass, rest, figure=chord.figure))
    row = rows_by_name().get(name)
    kind, symbol = ("other", "") if row is None else (row.kind, row.symbol)
    if kind in _FUNCTIONAL_FIGURES:
        kind = "other"
    wanted = {d.number: d for d in reversed(chord.quality.degrees)}
    doubled = [d for d in chord.quality.degrees if wanted[d.number] != d]
    degrees = _differences(kind, wanted)
    degrees += [_added(d) for d in (*doubled, *chord.added)]
    # Alterations first, then what is added, each upward, as a reader expects them.
    degrees.sort(key=lambda degree: (degree.type == "add", degree.value, degree.alter))
    kept = {d.value for d in degrees if d.type == "subtract"}
    degrees += [
        KindDegree(d.number, 0, "subtract")
        for d in chord.omitted
        if d in chord.quality.degrees and d.number not in kept
    ]
    return ChordKind(root, kind, _symbol_text(symbol, chord), bass, tuple(degrees))


def _differences(kind: str, wanted: Mapping[int, Degree]) -> list[KindDegree]:
    """Say what turns a kind's own degrees into the wanted ones."""
    own = {degree.number: degree for degree in kind_rows()[kind].degrees}
    found = [
        KindDegree(number, degree.alter - own[number].alter, "alter")
        for number, degree in sorted(wanted.items())
        if number in own and degree != own[number]
    ]
    found += [_added(degree) for number, degree in sorted(wanted.items()) if number not in own]
    found += [KindDegree(number, 0, "subtract") for number in sorted(own) if number not in wanted]
    return found


def _added(degree: Degree) -> KindDegree:
    """An added seventh counts from the minor seventh of a dominant (MusicXML 4.0)."""
    alter = degree.alter + 1 if degree.number == 7 else degree.alter
    return KindDegree(degree.number, alter, "add")


def _sixth_to_kind(chord: Chord) -> ChordKind:
    flat_sixth = transpose(chord.root, _SIXTHS[chord.quality.name].interval)
    degrees = {
        "it6": (KindDegree(6, 1, "add"), KindDegree(5, 0, "subtract")),
        "ger6": (KindDegree(6, 1, "add"),),
        "fr6": (KindDegree(4, 1, "add"), KindDegree(6, 1, "add"), KindDegree(5, 0, "subtract")),
        "sw6": (KindDegree(4, 2, "add"), KindDegree(6, 1, "add"), KindDegree(5, 0, "subtract")),
    }[chord.quality.name]
    text = {"it6": "(add#6,no5)", "ger6": "(add#6)", "fr6": "(add#4,add#6,no5)",
            "sw6": "(add##4,add#6,no5)"}[chord.quality.name]  # fmt: skip
    bass = None if chord.bass == flat_sixth else chord.bass
    return ChordKind(flat_sixth, "major", text, bass, degrees)


def _symbol_text(symbol: str, chord: Chord) -> str:
    """Print the quality with what was added and left out."""
    if chord.quality.name not in rows_by_name():
        return f"({','.join(_spell_degrees(chord))})"
    changes = [f"add{d}" for d in chord.added] + [f"no{d.number}" for d in chord.omitted]
    return symbol + (f"({','.join(changes)})" if changes else "")


def _spell_degrees(chord: Chord) -> list[str]:
    """Write degrees that have no name as changes of a major triad."""
    degrees = list(chord.degrees)
    left_out = [f"no{number}" for number in (3, 5) if Degree(number) not in degrees]
    fifths = [str(d) for d in degrees if d.number == 5 and d.alter]
    added = [f"add{d}" for d in degrees if d.number not in (1, 5) and d != Degree(3)]
    return [change for change in left_out if change != "no5" or not fifths] + fifths + added


def kind_to_chord(
    root: PitchName,
    kind: str,
    *,
    bass: PitchName | None = None,
    degrees: Iterable[KindDegree] = (),
    figure: str = "",
) -> Chord | None:
    """Give the chord that a ``<harmony>`` means; None for ``none``.

    The functional kinds (Neapolitan, Italian, French, German) are read on
    ``root`` as the tonic, with the bass textbooks give them.

    Raises
    ------
    HarmonyError
        For a kind that MusicXML 4.0 does not know.
    """
    row = kind_rows().get(kind)
    if row is None:
        raise HarmonyError(
            f"{kind!r} is not a MusicXML kind of chord; known are {', '.join(kind_rows())}."
        )
    if kind == "none":
        return None
    if kind in _FUNCTIONAL_BASS:
        return _read_functional(root, kind, bass, figure)
    held = {degree.number: degree.alter for degree in row.degrees}
    extra: list[Degree] = []
    omitted: list[int] = []
    for change in degrees:
        number = change.value
        if change.type == "subtract":
            omitted.append(number)
        elif change.type == "alter":
            held[number] = held.get(number, -1 if number == 7 else 0) + change.alter
        else:
            alter = change.alter - 1 if number == 7 else change.alter
            if number in held and held[number] != alter:
                extra.append(Degree(number, alter))
            else:
                held[number] = alter
    full = {Degree(number, alter) for number, alter in held.items()} | set(extra)
    quality, added = name_degrees(frozenset(full))
    if kind == "Tristan" and not omitted and full == set(row.degrees):
        quality, added = find_quality("tristan"), ()
    left_out = tuple(sorted(d for d in full if d.number in omitted))
    chord = Chord(
        root, quality, bass or root, tuple(d for d in added if d not in left_out), left_out, figure
    )
    return chord if figure else _with_figure(chord)


def _read_functional(root: PitchName, kind: str, bass: PitchName | None, figure: str) -> Chord:
    from harmony.chords.roman import read_numeral
    from harmony.pitch.key import Key

    chord = read_numeral(_FUNCTIONAL_FIGURES[kind], Key(root))
    return Chord(
        chord.root, chord.quality, bass or chord.bass, figure=figure or _FUNCTIONAL_FIGURES[kind]
    )


def _with_figure(chord: Chord) -> Chord:
    written = chord_to_kind(chord)
    assert written is not None
    over = f"/{written.bass}" if written.bass is not None else ""
    return Chord(
        chord.root, chord.quality, chord.bass, chord.added, chord.omitted,
        f"{written.root}{written.text}{over}",
    )  # fmt: skip

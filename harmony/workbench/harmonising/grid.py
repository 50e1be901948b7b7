"""The alternatives set against each other in time: a column where any chord changes."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from harmony.chords.progression import Slot
from harmony.harmonising.harmonisation import Harmonisation
from harmony.pitch.key import Key
from harmony.scoring.build import is_numeral
from harmony.workbench.harmonising.work import Work, place_text
from harmony.writing.symbol import engrave_symbol, split_numeral

HELD = "\u2013"
SAME, OTHER_ROOT, OTHER_FORM = "same", "other root", "other form"


@dataclass(frozen=True, slots=True)
class Cell:
    """One figure of the comparison.

    ``slot`` counts the chords of its alternative; ``begins`` is False where the
    chord before holds; ``kind`` says how it differs from the alternative shown.
    """

    text: str
    slot: int
    begins: bool
    kind: str
    is_fixed: bool


@dataclass(frozen=True, slots=True)
class Grid:
    """Columns (times in quarters), and a row of cells for each alternative.

    A cell is None before the alternative has begun.
    """

    onsets: tuple[Fraction, ...]
    end: Fraction
    rows: tuple[tuple[Cell | None, ...], ...]

    def column(self, time: Fraction) -> int:
        """Give the number of the last column at or before a time."""
        return max(0, bisect_right(self.onsets, time) - 1)

    def length(self, column: int) -> Fraction:
        """Give how long a column lasts, in quarters."""
        after = self.onsets[column + 1] if column + 1 < len(self.onsets) else self.end
        return after - self.onsets[column]


@lru_cache(maxsize=8)
def build_grid(work: Work) -> Grid:
    """Set the alternatives against each other and against the one shown."""
    theme = work.theme
    onsets = {slot.onset for one in work.alternatives for slot in one.progression}
    onsets |= {span.onset for span in work.found.spans}
    columns = tuple(sorted(onsets))
    held = {
        place.partition("=")[0].strip() for place in work.choices.question.fixes
        if "!=" not in place
    }  # fmt: skip
    fixed = {
        onset
        for onset in columns
        for bar, beat in [theme.meters.locate(onset)]
        if place_text(theme, onset) in held or (beat == 1 and str(bar) in held)
    }
    shown = [_slot_at(work.shown, onset) for onset in columns]
    rows = tuple(_row(one, columns, shown, fixed, work.melody.key) for one in work.alternatives)
    return Grid(columns, max(one.progression.end for one in work.alternatives), rows)


def _slot_at(one: Harmonisation, onset: Fraction) -> tuple[int, Slot] | None:
    found = None
    for number, slot in enumerate(one.progression):
        if slot.onset > onset:
            break
        found = number, slot
    return found


def _row(
    one: Harmonisation,
    columns: tuple[Fraction, ...],
    shown: list[tuple[int, Slot] | None],
    fixed: set[Fraction],
    home: Key,
) -> tuple[Cell | None, ...]:
    cells: list[Cell | None] = []
    key: Key | None = home
    for onset, other in zip(columns, shown, strict=True):
        found = _slot_at(one, onset)
        if found is None:
            cells.append(None)
            continue
        number, slot = found
        begins = slot.onset == onset
        text = HELD
        # What the composer fixed is written even where the chord before it is the same.
        if begins or onset in fixed:
            is_new = slot.key is not None and slot.key != key and is_numeral(slot.figure)
            text = (f"{write_key(slot.key)}: " if is_new and slot.key else "") + write_figure(slot)
            key = slot.key if is_new else key
        kind = SAME if other is None else compare(slot, other[1])
        cells.append(Cell(text, number, begins, kind, onset in fixed))
    return tuple(cells)


def compare(slot: Slot, other: Slot) -> str:
    """Say how a chord differs from another: root, only bass or kind, or not."""
    one, two = slot.chord, other.chord
    if one is None or two is None:
        return SAME if one is two else OTHER_ROOT
    if one.root.pitch_class != two.root.pitch_class:
        return OTHER_ROOT
    is_same = one.quality == two.quality and one.bass.pitch_class == two.bass.pitch_class
    return SAME if is_same else OTHER_FORM


def write_figure(slot: Slot) -> str:
    """Write a chord as it stands under the tune: ``\u266dVII6``, ``F\u266f\u00f87``.

    >>> from harmony.chords.api import parse
    >>> write_figure(parse("d: viio6").slots[0])
    'vii\u00b06'
    """
    figure = slot.figure
    side = "under" if slot.pedal_above else "over"
    pedal = f" {side} {write_name(str(slot.pedal))}" if slot.pedal else ""
    if is_numeral(figure):
        return "".join(text for text, _raised in split_numeral(figure)) + pedal
    if figure.startswith("{"):
        # A stack of the composer's own or of fourths: its notes from the bass up.
        names = figure.strip("{}").partition(",")[0].split()
        return " ".join(write_name(name) for name in names) + pedal
    return engrave_symbol(figure) + pedal


def write_name(name: str) -> str:
    """Write a note's name with its sign: ``C\u266f``."""
    return name[:1] + name[1:].replace("#", "\u266f").replace("b", "\u266d")


def say_key(key: Key) -> str:
    """Name a key in words: ``E major``, ``C\u266f minor``, ``D dorian``.

    >>> say_key(Key.from_text("f#"))
    'F\u266f minor'
    """
    return f"{write_name(str(key.tonic))} {key.mode}"


def write_key(key: Key) -> str:
    """Write a key's name with its sign: ``c\u266f``, ``E\u266d dorian``."""
    tonic, space, mode = str(key).partition(" ")
    return write_name(tonic) + space + mode

"""Parts of a theme: fragments, sequences, ornament and its removal."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch import Line, Note, Theme
from harmony.themes.degrees import key_of, pitch_to_place, place_to_pitch
from harmony.themes.transform import derive, move_in_key


def take_bars(theme: Theme, first: int, last: int) -> Theme:
    """Give the fragment from bar ``first`` through bar ``last``, starting at time 0."""
    bars = theme.meters.bars_through(theme.line.end)
    if first > last or first < bars.start or last >= bars.stop:
        raise HarmonyError(
            f"Bars {first} to {last} are not in the theme; "
            f"it has bars {bars.start} to {bars.stop - 1}."
        )
    start = theme.meters.bar_start(first)
    end = theme.meters.bar_start(last) + theme.meters.bar_length(last)
    line = theme.line.between(start, end).moved(-start)
    changes = (
        (1, theme.meters.meter_at(first)),
        *((bar - first + 1, meter) for bar, meter in theme.meters.changes if first < bar <= last),
    )
    meters = replace(
        theme.meters, changes=changes, pickup=theme.pickup if first == 0 else Fraction(0)
    )
    ends = tuple(at - start for at in theme.phrase_ends if start < at <= end)
    return derive(theme, f"bars {first} to {last}", line, meters=meters, phrase_ends=ends)


def continue_in_sequence(theme: Theme, bars: int, steps: int, times: int) -> Theme:
    """Give the first ``bars`` bars and ``times`` copies of them, each ``steps`` further."""
    if times < 1 or bars < 1:
        raise HarmonyError("A sequence needs a model of at least one bar and at least one copy.")
    first = max(theme.meters.first_bar, 1)
    model = take_bars(theme, first, first + bars - 1)
    length = model.meters.bar_start(bars + 1)
    key = key_of(theme)
    notes = list(model.line.notes)
    for copy in range(1, times + 1):
        moved = move_in_key(model.line, copy * steps, key).moved(copy * length)
        notes.extend(moved.notes)
    direction = "up" if steps > 0 else "down"
    return derive(
        theme,
        f"sequence of {bars} bar{'s' if bars > 1 else ''}, {abs(steps)}"
        f" step{'s' if abs(steps) > 1 else ''} {direction} in {key}",
        Line(tuple(notes)),
        meters=model.meters,
        phrase_ends=(),
    )


def remove_ornament(theme: Theme) -> Theme:
    """Give the theme without its short weak passing and neighbour notes.

    A note goes where it is weaker in the bar than the one before it, lasts no
    longer, and is reached and left by step; its time is added to the note before.
    """
    kept: list[Note] = []
    notes = list(theme.line.notes)
    for index, note in enumerate(notes):
        before = kept[-1] if kept else None
        after = notes[index + 1] if index + 1 < len(notes) else None
        if (
            before is not None
            and after is not None
            and note.pitch
            and before.pitch
            and after.pitch
            and note.duration <= before.duration
            and theme.meters.weight(note.onset) < theme.meters.weight(before.onset)
            and abs(note.pitch.staff_step - notes[index - 1].pitch.staff_step) == 1  # type: ignore[union-attr]
            and abs(after.pitch.staff_step - note.pitch.staff_step) == 1
            and before.end == note.onset
        ):
            kept[-1] = replace(before, duration=before.duration + note.duration)
        else:
            kept.append(note)
    return derive(theme, "without ornament", Line(tuple(kept)))


def add_ornament(theme: Theme) -> Theme:
    """Fill thirds with passing notes and turn long notes with an upper neighbour.

    A note of at least half a quarter that leads a third away gives its second
    half to the note between; one of at least two quarters followed by step takes
    an upper neighbour in its second half.
    """
    key = key_of(theme)
    notes: list[Note] = []
    source = list(theme.line.notes)
    for note, after in zip(source, [*source[1:], None], strict=True):
        if note.pitch is None or after is None or after.pitch is None or note.tie:
            notes.append(note)
            continue
        step, _ = pitch_to_place(note.pitch, key)
        leap = after.pitch.staff_step - step
        half = note.duration / 2
        if abs(leap) == 2 and half >= Fraction(1, 4):
            middle = place_to_pitch(step + leap // 2, 0, key)
            notes.append(replace(note, duration=half))
            notes.append(Note(note.onset + half, half, middle))
        elif note.duration >= 2 and abs(leap) <= 1:
            quarter = note.duration / 4
            notes.append(replace(note, duration=2 * quarter))
            notes.append(Note(note.onset + 2 * quarter, quarter, place_to_pitch(step + 1, 0, key)))
            notes.append(Note(note.onset + 3 * quarter, quarter, note.pitch))
        else:
            notes.append(note)
    return derive(theme, "ornamented", Line(tuple(notes)))

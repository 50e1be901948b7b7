"""Parts of a theme: fragments, sequences, ornament and its removal, continuations."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch import Line, Note, Pitch, Theme
from harmony.themes.degrees import key_of, pitch_to_place, place_to_pitch
from harmony.themes.transform import derive, map_pitches

MOST_BARS = 64  # to continue a theme by


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
        moved = _move_steps(model.line, copy * steps, theme).moved(copy * length)
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


def _move_steps(line: Line, steps: int, theme: Theme) -> Line:
    key = key_of(theme)

    def move(pitch: Pitch) -> Pitch:
        step, alter = pitch_to_place(pitch, key)
        return place_to_pitch(step + steps, alter, key)

    return map_pitches(line, move)


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


_SAID_AGAIN = 3.0  # what a bar costs that goes from and to the notes of one just heard
_OUTSIDE = 1.0  # what a step beyond a second outside the theme's range costs


@dataclass(frozen=True, slots=True)
class _Bar:
    """A bar of the theme as material: its notes from time 0 and where they stand."""

    source_bar: int
    line: Line
    first_step: int
    last_step: int
    lowest_step: int
    highest_step: int


def continue_otherwise(
    theme: Theme, kept_bars: int, *, bars: int = 4, closing_degree: int = 1, contour: str = "arch"
) -> Theme:
    """Keep the beginning and continue it from its own bars to a chosen close.

    Each new bar is a bar of the beginning moved by steps of the key, so the
    continuation speaks the theme's language; the moves are chosen together, over
    all choices of bars and moves, so that joints are smooth, the line stays near the
    theme's range and follows the ``contour`` (``rise``, ``fall``, ``arch``, ``dip``)
    and the last note is the ``closing_degree`` held to the end of its bar.
    """
    shapes = {"rise": (0, 5), "fall": (0, -5), "arch": (4, 0), "dip": (-4, 0)}
    if contour not in shapes:
        raise HarmonyError(f"{contour!r} is not a contour; it is rise, fall, arch or dip.")
    if bars < 1 or kept_bars < 1:
        raise HarmonyError("Keep at least one bar and continue for at least one.")
    if bars > MOST_BARS:
        raise HarmonyError(
            f"{bars} bars are more than a theme is continued for; up to {MOST_BARS} are accepted."
        )
    first = max(theme.meters.first_bar, 1)
    head = take_bars(theme, theme.meters.first_bar, first + kept_bars - 1)
    key = key_of(theme)
    material = _bars_of(head)
    if not material:
        raise HarmonyError("The beginning that is kept has no bar that starts with a note.")
    last_pitch = head.line.sounding[-1].pitch
    assert last_pitch is not None
    base, _ = pitch_to_place(last_pitch, key)
    peak, end = shapes[contour]
    own = [note.pitch.staff_step for note in theme.line.sounding if note.pitch]
    bottom, top = min(own) - 1, max(own) + 1
    tonic_step = key.degree(closing_degree).step

    def target(number: int) -> float:
        x = (number + 1) / bars
        return base + (2 * peak * (x if x <= 0.5 else 1 - x) if peak else end * x)

    # best[last step] = (cost, choices), bar by bar: an exact table over ends
    best: dict[int, tuple[float, tuple[tuple[int, int], ...]]] = {base: (0.0, ())}
    for number in range(bars):
        found: dict[int, tuple[float, tuple[tuple[int, int], ...]]] = {}
        for at, (cost, path) in best.items():
            for index, bar in enumerate(material):
                for shift in range(-9, 10):
                    joint = abs(bar.first_step + shift - at)
                    landing = bar.last_step + shift
                    if joint > 4 or (number == bars - 1 and bar.first_step + shift - at == 0):
                        continue
                    again = sum(1 for used in path if used[0] == index)
                    price = (
                        cost + abs(joint - 1) + 1.1 * abs(landing - target(number)) + 0.6 * again
                    )
                    price += _SAID_AGAIN * sum(
                        _ends_of(material, used) == (bar.first_step + shift, landing)
                        for used in path[-3:]
                    )
                    price += _OUTSIDE * max(0, bar.highest_step + shift - top)
                    price += _OUTSIDE * max(0, bottom - bar.lowest_step - shift)
                    if landing not in found or price < found[landing][0]:
                        found[landing] = (price, (*path, (index, shift)))
        best = found
    close = min(
        (
            (cost + 2.0 * min((step - tonic_step) % 7, (tonic_step - step) % 7), path, step)
            for step, (cost, path) in best.items()
        ),
    )
    return _write_continuation(theme, head, material, close[1], closing_degree)


def _ends_of(material: list[_Bar], used: tuple[int, int]) -> tuple[int, int]:
    bar, shift = material[used[0]], used[1]
    return bar.first_step + shift, bar.last_step + shift


def _bars_of(head: Theme) -> list[_Bar]:
    material = []
    for number in head.meters.bars_through(head.line.end):
        if number == 0:
            continue
        start = head.meters.bar_start(number)
        inside = head.line.between(start, start + head.meters.bar_length(number)).moved(-start)
        if inside.notes and inside.notes[0].pitch and inside.notes[0].onset == 0:
            pitches = [note.pitch for note in inside if note.pitch]
            steps = [pitch.staff_step for pitch in pitches]
            material.append(_Bar(number, inside, steps[0], steps[-1], min(steps), max(steps)))
    return material


def _write_continuation(
    theme: Theme,
    head: Theme,
    material: list[_Bar],
    path: tuple[tuple[int, int], ...],
    closing_degree: int,
) -> Theme:
    key = key_of(theme)
    notes = list(head.line.notes)
    at = head.meters.bar_start(max(head.meters.bars_through(head.line.end)) + 1)
    for index, shift in path:
        moved = _move_steps(material[index].line, shift, theme).moved(at)
        notes.extend(moved.notes)
        at += head.meters.meter_at(1).bar_quarters
    last_start = at - head.meters.meter_at(1).bar_quarters
    final_bar = [note for note in notes if note.onset >= last_start]
    keep = max(1, len(final_bar) // 2)
    anchor = final_bar[min(keep, len(final_bar) - 1)]
    cut = [note for note in notes if note.onset < anchor.onset]
    pitch = anchor.pitch or cut[-1].pitch
    assert pitch is not None
    step, _ = pitch_to_place(pitch, key)
    goal = key.degree(closing_degree).step
    near = min(
        (step + move for move in range(-3, 4) if (step + move - goal) % 7 == 0),
        key=lambda s: abs(s - step),
    )
    cut.append(Note(anchor.onset, at - anchor.onset, place_to_pitch(near, 0, key)))
    return derive(
        theme,
        f"beginning kept, continued for {len(path)} bars to degree {closing_degree}",
        Line(tuple(cut)),
        meters=head.meters,
        phrase_ends=(at,),
    )

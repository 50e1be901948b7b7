"""Mending a canon: the fewest and least audible changes to the theme that make it work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch import Key, Line, Pitch, Theme
from harmony.pitch.meter import say_place
from harmony.themes.canon import canon_tick, lay_pitches
from harmony.themes.counterpoint import Judge
from harmony.themes.degrees import key_of, pitch_to_place, place_to_pitch
from harmony.themes.faults import clashes
from harmony.themes.follower import Cell, follower_line
from harmony.themes.tracks import Track, line_to_track
from harmony.themes.transform import derive

REACH_STEPS = 4  # a fifth either way
MOST_CHANGES = 3


@dataclass(frozen=True, slots=True)
class Change:
    """One note of the theme given another pitch; ``index`` counts its sounding notes."""

    index: int
    before: Pitch
    after: Pitch

    def describe(self, theme: Theme) -> str:
        """Say the change in words."""
        place = theme.meters.say_place(theme.line.sounding[self.index].onset)
        return f"{place}: {self.before} becomes {self.after}"


@dataclass(frozen=True, slots=True)
class Mend:
    """A changed theme whose canon has no fault left, and how audible the change is."""

    theme: Theme
    changes: tuple[Change, ...]
    audible: float

    @property
    def operations(self) -> tuple[str, ...]:
        """The changes as operations on the theme that was mended."""
        return tuple(change.describe(self.theme) for change in self.changes)


def change_note(theme: Theme, bar: int, beat: Fraction, before: Pitch, after: Pitch) -> Theme:
    """Give one note of a theme another pitch.

    Raises
    ------
    HarmonyError
        If no note of that pitch begins there.
    """
    onset = theme.meters.offset(bar, beat)
    notes = list(theme.line.notes)
    for index, note in enumerate(notes):
        if note.onset == onset and note.pitch == before:
            notes[index] = replace(note, pitch=after)
            said = f"{say_place(bar, beat)}: {before} becomes {after}"
            return derive(theme, said, Line(tuple(notes)))
    there = [str(note.pitch) for note in notes if note.onset == onset and note.pitch]
    accepted = f"the note there is {there[0]}" if there else "name a note by where it begins"
    raise HarmonyError(f"No {before} begins at {say_place(bar, beat)} of the theme; {accepted}.")


def mend(
    theme: Theme, cell: Cell, judge: Judge = "tonal", *, most_changes: int = 2, protect: bool = True
) -> tuple[Mend, ...]:
    """Give every smallest set of changed notes that leaves the canon without a fault.

    Notes move by up to a fifth within the key. The search is exhaustive: a fault
    can only be mended by one of the notes that meet in it or their neighbours, so
    nothing with up to ``most_changes`` changes is missed. With ``protect`` the
    first bar and the highest note stay. The least audible comes first.
    """
    if not 1 <= most_changes <= MOST_CHANGES:
        raise HarmonyError(f"From 1 to {MOST_CHANGES} notes can be changed, not {most_changes}.")
    places = tuple(i for i, note in enumerate(theme.line.sounding) if note.duration)
    notes = tuple(theme.line.sounding[place] for place in places)
    plain = replace(theme, line=Line(notes))
    tick = canon_tick(plain, cell)
    pitches = tuple(note.pitch for note in notes if note.pitch is not None)
    search = _Search(
        plain,
        places,
        cell,
        judge,
        _protected(plain, pitches) if protect else frozenset(),
        key_of(theme),
        tick,
        line_to_track(plain.line, tick),
        follower_line(plain, cell),
    )
    for count in range(1, most_changes + 1):
        found = {
            tuple(sorted(changes, key=lambda change: change.index))
            for changes in search.changes(pitches, (), count)
        }
        if found:
            mends = [_build(theme, changes) for changes in found if changes]
            return tuple(
                sorted(mends, key=lambda m: (m.audible, m.changes[0].index, str(m.changes)))
            )
    return ()


def _protected(theme: Theme, pitches: tuple[Pitch, ...]) -> frozenset[int]:
    """The notes that stay: those of the first bar, and the highest."""
    first_bar_end = theme.meters.bar_start(theme.meters.first_bar + 1)
    climax = max(range(len(pitches)), key=lambda index: (pitches[index].midi, -index))
    opening = {i for i, note in enumerate(theme.line.sounding) if note.onset < first_bar_end}
    return frozenset(opening | {climax})


@dataclass(frozen=True, slots=True)
class _Search:
    """What stays the same while pitches are tried: the theme's times, and what is kept.

    ``theme`` is without grace notes; ``places`` are its notes' among all that sound.
    """

    theme: Theme
    places: tuple[int, ...]
    cell: Cell
    judge: Judge
    kept: frozenset[int]
    key: Key
    tick: Fraction
    times: Track
    follower: Line

    def changes(
        self, pitches: tuple[Pitch, ...], done: tuple[Change, ...], left: int
    ) -> Iterator[tuple[Change, ...]]:
        """Branch on every note that could answer for the first fault."""
        pair = lay_pitches(pitches, self.times, self.cell, self.key, self.tick)
        wrong = clashes(self.theme.meters, pair, self.judge)
        if not wrong:
            yield done
            return
        if left == 0:
            return
        used = {change.index for change in done}
        involved = [self._involved(offset) - self.kept for offset, _ in wrong]
        for index in involved[0]:
            # what does not touch this note must be mended by the changes that are left
            if not _can_touch_all([each for each in involved if index not in each], left - 1):
                continue
            place, pitch = self.places[index], pitches[index]
            if place in used:
                continue
            step, _ = pitch_to_place(pitch, self.key)
            for move in range(-REACH_STEPS, REACH_STEPS + 1):
                other = place_to_pitch(step + move, 0, self.key)
                if other == pitch:
                    continue
                changed = (*pitches[:index], other, *pitches[index + 1 :])
                yield from self.changes(changed, (*done, Change(place, pitch, other)), left - 1)

    def _involved(self, offset: Fraction) -> set[int]:
        """Give the indices of the theme's notes that meet in a fault, and their neighbours."""
        notes = self.theme.line.notes
        count = len(notes)
        backward = self.cell.motion.startswith("retrograde")
        involved: set[int] = set()
        for line, is_follower in ((notes, False), (self.follower.notes, True)):
            for place, note in enumerate(line):
                if note.onset <= offset < note.end:
                    index = count - 1 - place if is_follower and backward else place
                    involved |= {index - 1, index, index + 1}
        if self.cell.motion.endswith("contrary") or backward:
            involved.add(count - 1 if backward else 0)  # the note the answer is set from
        return {index for index in involved if 0 <= index < count}


def _can_touch_all(groups: list[set[int]], left: int) -> bool:
    """Tell whether so many notes can be chosen that every group holds one of them."""
    if not groups or left == 0:
        return not groups
    return any(
        _can_touch_all([group for group in groups if index not in group], left - 1)
        for index in groups[0]
    )


def _build(theme: Theme, changes: tuple[Change, ...]) -> Mend:
    notes = list(theme.line.sounding)
    heights = [note.pitch.staff_step for note in notes if note.pitch is not None]
    audible = 0.0
    for change in changes:
        note = notes[change.index]
        size = abs(change.after.staff_step - change.before.staff_step)
        stress = 1 + theme.meters.weight(note.onset) / 2
        audible += stress * float(note.duration) ** 0.5 * (1 + size / 2)
        audible += _contour_change(heights, change)
        heights[change.index] = change.after.staff_step
        notes[change.index] = replace(note, pitch=change.after)
    said = "; ".join(change.describe(theme) for change in changes)
    return Mend(derive(theme, f"mended ({said})", Line(tuple(notes))), changes, round(audible, 3))


def _contour_change(heights: Sequence[int], change: Change) -> float:
    """Count the neighbours to which the melody now moves the other way, or leaps.

    ``heights`` are the staff steps of the sounding notes.
    """
    cost = 0.0
    for place in (change.index - 1, change.index + 1):
        if 0 <= place < len(heights):
            neighbour = heights[place]
            was, now = change.before.staff_step - neighbour, change.after.staff_step - neighbour
            cost += 1.0 * (was * now < 0) + 0.5 * (abs(now) > 2 >= abs(was))
    return cost

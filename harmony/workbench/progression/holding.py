"""What is not left to the search: chords fixed as they are voiced, bars locked, notes pinned."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from harmony.chords.progression import Progression, Slot
from harmony.errors import HarmonyError
from harmony.pitch.spelling import Pitch
from harmony.workbench.progression.state import Choices, PinnedNote
from harmony.workbench.progression.work import Work
from harmony.workbench.words import write_beat

_STRETCH = re.compile(r"(\d+)(?:\s*[-\u2013]\s*(\d+))?")


def read_bars(text: str, progression: Progression) -> tuple[int, ...]:
    """Read bars such as ``2``, ``5-8`` or ``2, 5-8``.

    Raises
    ------
    HarmonyError
        For another form, or bars that are not there.
    """
    there = progression.meters.bars_through(progression.end)
    bars: set[int] = set()
    for piece in re.split(r"[,;]|\band\b", text):
        found = _STRETCH.fullmatch(piece.strip())
        first, last = (0, -1) if found is None else (int(found[1]), int(found[2] or found[1]))
        if found is None or first > last or not {first, last} <= set(there):
            raise HarmonyError(
                f"{piece.strip()!r} names no bars here; bars {there[0]} to {there[-1]} are"
                f" accepted, such as {there[0]} or {there[0]}-{there[-1]}.",
                where=piece.strip(),
            )
        bars.update(range(first, last + 1))
    return tuple(sorted(bars))


def chosen_slot(work: Work) -> Slot:
    """Give the chosen chord.

    Raises
    ------
    HarmonyError
        If none is chosen.
    """
    if work.choices.chosen is None:
        raise HarmonyError("No chord is chosen; choose one of its notes first, or write the bars.")
    return work.problem.progression.slots[work.choices.chosen[0]]


def find_note(work: Work, slot: int, voice: int) -> PinnedNote:
    """Give a note that is shown, as it would be pinned."""
    own = work.problem.progression.slots[slot]
    name = work.problem.ensemble.voices[voice].name
    return PinnedNote(own.bar, own.beat, name, work.shown.pitches[slot][voice])


def pin_chord(work: Work, slot: int, pitches: tuple[Pitch, ...]) -> Choices:
    """Pin all notes of a chord to other pitches, top voice first, and choose the chord."""
    choices = work.choices
    refuse_locked(choices, work.problem.progression.slots[slot].bar)
    if choices.chosen is None:
        choices = choices.with_chosen((slot, len(pitches) - 1))
    for voice, pitch in enumerate(pitches):
        choices = choices.with_pin(replace(find_note(work, slot, voice), pitch=pitch))
    return choices


def fix_chord(work: Work) -> Choices:
    """Fix the chosen chord as it is voiced now: all its notes are pinned."""
    slot = chosen_slot(work)
    refuse_locked(work.choices, slot.bar)
    notes = [note for note in _notes_of(work, {slot.bar}) if note.beat == slot.beat]
    return work.choices.with_fixed(tuple(notes))


def lock_bars(work: Work, bars: Iterable[int]) -> Choices:
    """Lock bars as they are voiced now: nothing in them changes."""
    return work.choices.with_held(_notes_of(work, set(bars)))


def let_go_of_bars(work: Work, bars: Iterable[int]) -> Choices:
    """Unlock bars and let go of every pin in them."""
    gone = set(bars)
    choices = work.choices.without_held(gone)
    for pin in choices.pins:
        if pin.bar in gone:
            choices = choices.without_pins_at(pin.bar, pin.beat)
    return choices


def let_go_of_chord(work: Work) -> Choices:
    """Let go of the chosen chord: of its pins, and of its bar if that is locked."""
    slot = chosen_slot(work)
    return work.choices.without_held({slot.bar}).without_pins_at(slot.bar, slot.beat)


def refuse_locked(choices: Choices, bar: int) -> None:
    """Refuse a change in a locked bar.

    Raises
    ------
    HarmonyError
        If the bar is locked.
    """
    if bar in choices.locked:
        raise HarmonyError(
            f"Bar {bar} is locked, so that nothing in it changes; let go of it first.",
            where=f"bar {bar}",
        )


def say_held(work: Work) -> str:
    """Say what is locked, fixed and pinned."""
    choices, voices = work.choices, len(work.problem.ensemble)
    pins = [pin for pin in choices.bound if pin.bar not in choices.locked]
    chords = sorted({(pin.bar, pin.beat) for pin in pins})
    counts = {place: sum((pin.bar, pin.beat) == place for pin in pins) for place in chords}
    fixed = [place for place in chords if counts[place] == voices]
    others = sum(counts[place] for place in chords if place not in fixed)
    told = []
    if choices.locked:
        told.append(f"Locked: {list_bars(choices.locked)}.")
    if fixed:
        places = "; ".join(f"bar {bar}, beat {write_beat(beat)}" for bar, beat in fixed)
        told.append(f"Fixed as voiced: {places}.")
    if others:
        told.append(f"{'1 note is' if others == 1 else f'{others} notes are'} pinned.")
    return " ".join(told) or "Nothing is pinned, fixed or locked."


def list_bars(bars: tuple[int, ...]) -> str:
    """Write bars with runs drawn together: ``bar 2``, ``bars 2, 5 to 8``."""
    runs: list[list[int]] = []
    for bar in bars:
        if runs and bar == runs[-1][-1] + 1:
            runs[-1].append(bar)
        else:
            runs.append([bar])
    told = ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
    return f"{'bar' if len(bars) == 1 else 'bars'} {told}"


def _notes_of(work: Work, bars: set[int]) -> tuple[PinnedNote, ...]:
    """Give all notes of some bars as they are shown."""
    voices = work.problem.ensemble.voices
    notes = tuple(
        PinnedNote(slot.bar, slot.beat, voice.name, pitch)
        for slot, pitches in zip(work.problem.progression.slots, work.shown.pitches, strict=True)
        if slot.bar in bars
        for voice, pitch in zip(voices, pitches, strict=False)
    )
    if not notes:
        raise HarmonyError(
            f"No chord begins in {list_bars(tuple(sorted(bars)))}; bars with chords are accepted."
        )
    return notes

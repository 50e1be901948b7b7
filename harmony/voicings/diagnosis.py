"""Why there is no solution, told in one sentence: rule, chord, voice, what to give up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from harmony.errors import NoSolutionError
from harmony.pitch import Pitch
from harmony.search import NoPathError
from harmony.voicings.candidates import Frame, Voicings, build_voicings
from harmony.voicings.pins import Pin
from harmony.voicings.sonority import Sonority
from harmony.voicings.steps import Steps
from harmony.voicings.words import count_words, list_words

if TYPE_CHECKING:
    from harmony.voicings.layers import Layout
    from harmony.voicings.problem import Problem

WIDER = 12
MOST_ASKED = 100


def explain_no_voicing(problem: Problem, layout: Layout, number: int) -> NoSolutionError:
    """Say why one chord has no voicing at all."""
    slot = problem.progression.slots[number]
    sonority, frame = layout.sonorities[number], layout.frames[number]
    assert sonority is not None
    chord = f"{slot.figure} at {slot.place}"
    ensemble = problem.ensemble
    fixed = () if slot.chord is None else slot.chord.fixed
    needed = len(fixed) or sum(member.is_needed for member in sonority.members)
    real = len(frame.real_voices)
    if needed > real and (frame.is_complete or fixed):
        return NoSolutionError(
            f"{chord} has {needed}{'' if fixed else ' different'} notes, and {ensemble.name} has"
            f" {count_words(real, 'voice')}; leave notes out or choose more players.",
            rule="completeness", chord=slot.figure, relax="completeness", where=slot.place,
        )  # fmt: skip
    out_of_reach = _pitch_out_of_reach(fixed, frame)
    if out_of_reach is not None:
        pitch, voice = out_of_reach
        name = None if voice is None else ensemble.voices[len(frame) - 1 - voice].name
        fault = (
            f"lies in the register of no voice of {ensemble.name}; widen one"
            if name is None
            else f"falls to {name} and lies outside its register; widen it"
        )
        return NoSolutionError(
            f"{pitch} of {chord} {fault}, or write another note.",
            rule="register", chord=slot.figure, voice=name,
            relax="the registers" if name is None else f"the register of {name}", where=slot.place,
        )  # fmt: skip
    if problem.rules.own and len(build_voicings(sonority, frame)):
        names = list_words([rule.name for rule in problem.rules.own])
        return NoSolutionError(
            f"No voicing of {chord} keeps the rule {names}; give it up at this chord.",
            rule=names, chord=slot.figure, relax=names, where=slot.place,
        )  # fmt: skip
    lowest = ensemble.voices[-1]
    bass = sonority.members[0].name
    if sonority.has_bass and frame.keeps_bass and not _reaches(frame, 0, bass.pitch_class):
        return NoSolutionError(
            f"{lowest.name} cannot have the bass of {chord}, {bass}, in its register; widen the"
            " register, or choose another inversion.",
            rule="the given bass note", chord=slot.figure, voice=lowest.name,
            relax=f"the register of {lowest.name}", where=slot.place,
        )  # fmt: skip
    caught = _voice_in_the_way(sonority, frame)
    name = None if caught is None else ensemble.voices[len(frame) - 1 - caught].name
    for rule, relaxed, advice in _relaxations(frame):
        if _has_voicing(sonority, relaxed):
            told = f", or widen the register of {name}" if name else ""
            return NoSolutionError(
                f"No voicing of {chord} for {ensemble.name} keeps the rule of {rule};"
                f" {advice}{told}.",
                rule=rule, chord=slot.figure, voice=name, relax=advice, where=slot.place,
            )  # fmt: skip
    told = f"the register of {name}" if name else f"the registers, starting with {lowest.name}"
    return NoSolutionError(
        f"No voicing of {chord} fits the registers of {ensemble.name}; widen {told},"
        " or choose other players.",
        rule="register", chord=slot.figure, voice=name or lowest.name, relax=told, where=slot.place,
    )  # fmt: skip


def _pitch_out_of_reach(fixed: Sequence[Pitch], frame: Frame) -> tuple[Pitch, int | None] | None:
    """A pitch of a chord that stands as written and that no voice has, or not the one it falls to.

    The second is the voice, from the lowest, where each has one note and none may cross.
    """
    for pitch in fixed:
        if not any(
            low <= pitch.midi <= high for low, high in zip(frame.low, frame.high, strict=True)
        ):
            return pitch, None
    if len(fixed) == len(frame) and not frame.crossing:
        for voice, pitch in enumerate(sorted(fixed, key=lambda one: one.midi)):
            if not frame.low[voice] <= pitch.midi <= frame.high[voice]:
                return pitch, voice
    return None


def _reaches(frame: Frame, voice: int, pitch_class: int) -> bool:
    return any(p % 12 == pitch_class for p in range(frame.low[voice], frame.high[voice] + 1))


def _voice_in_the_way(sonority: Sonority, frame: Frame) -> int | None:
    """The voice, from the lowest, that an octave more of register would help; None if none."""
    for voice in range(len(frame)):
        wider = replace(
            frame,
            low=_changed(frame.low, voice, -WIDER),
            high=_changed(frame.high, voice, WIDER),
        )
        if _has_voicing(sonority, wider):
            return voice
    return None


def _relaxations(frame: Frame) -> list[tuple[str, Frame, str]]:
    open_gaps = (0,) * len(frame.gaps)
    return [
        ("widest gaps", replace(frame, gaps=open_gaps), "allow wider gaps between neighbours"),
        ("reach of the hand", replace(frame, span=0), "allow a wider reach"),
        ("single tendency notes", replace(frame, at_most=None), "allow them to be doubled"),
        ("order of voices", replace(frame, crossing=WIDER), "allow voices to cross"),
        ("complete chords", replace(frame, is_complete=False), "allow notes to be left out"),
        ("the given bass note", replace(frame, keeps_bass=False), "allow another bass note"),
    ]


def _has_voicing(sonority: Sonority, frame: Frame) -> bool:
    try:
        return len(build_voicings(sonority, frame)) > 0
    except MemoryError:
        return True


def _changed(values: tuple[int, ...], place: int, by: int) -> tuple[int, ...]:
    return (*values[:place], values[place] + by, *values[place + 1 :])


def explain_no_pin(problem: Problem, pin: Pin, pins: Sequence[Pin]) -> NoSolutionError:
    """Say why a pinned pitch is in no voicing, alone or together with other pins."""
    here = [one for one in pins if one.slot == pin.slot and one != pin]
    for one in (pin, *here):
        # One that can never be had is to blame, whichever was looked at when none was left.
        fault = _explain_pin_alone(problem, one)
        if fault is not None:
            return fault
    slot = problem.progression.slots[pin.slot]
    own = problem.layout.voicings[pin.slot]
    assert own is not None
    voices = problem.ensemble.voices
    name, chord = voices[pin.voice].name, f"{slot.figure} at {slot.place}"
    common = {"rule": "pin", "chord": slot.figure, "voice": name, "where": slot.place}
    row = len(voices) - 1 - pin.voice
    if (own.pitches[:, row] == pin.pitch.midi).any():
        others = list_words([f"{voices[one.voice].name}={one.pitch}" for one in here])
        return NoSolutionError(
            f"No voicing of {chord} has {name}={pin.pitch} together with {others};"
            " take one of these pins away.",
            relax="one of the pins", **common,
        )  # fmt: skip
    return NoSolutionError(
        f"No voicing of {chord} has {pin.pitch} in {name} and keeps the rules; pin"
        " another pitch, or widen the registers of its neighbours.",
        relax="the pin", **common,
    )  # fmt: skip


def _explain_pin_alone(problem: Problem, pin: Pin) -> NoSolutionError | None:
    """Say why a voice can never have the pitch it is pinned to; None where it could."""
    slot = problem.progression.slots[pin.slot]
    own = problem.layout.voicings[pin.slot]
    assert own is not None
    row = len(problem.ensemble) - 1 - pin.voice
    name = problem.ensemble.voices[pin.voice].name
    told = f"{name} cannot be pinned to {pin.pitch} at {slot.place}"
    common = {"rule": "pin", "chord": slot.figure, "voice": name, "where": slot.place}
    frame = own.frame
    if not frame.low[row] <= pin.pitch.midi <= frame.high[row]:
        return NoSolutionError(
            f"{told}: its register {_register_at(problem, pin)}.",
            relax=f"the register of {name}", **common,
        )  # fmt: skip
    given = frame.given[row] if frame.given else None
    if given is not None and given != pin.pitch.midi:
        ruling = [line.ruling[pin.slot] for line in problem.given if line.voice == pin.voice]
        return NoSolutionError(
            f"{told}: the line it is given has {ruling[-1]} there; let go of the note or of the"
            " line.",
            relax="the pin", **common,
        )  # fmt: skip
    if given is None and pin.pitch.pitch_class not in own.sonority.pitch_classes:
        names = list_words([str(member.name) for member in own.sonority.members])
        return NoSolutionError(
            f"{told}: {slot.figure} has the notes {names}.", relax="the pin", **common
        )
    return None


def _register_at(problem: Problem, pin: Pin) -> str:
    """Say what the register of a pinned voice is at its chord."""
    bar = problem.progression.slots[pin.slot].bar
    own = [one for one in problem.registers if one.voice == pin.voice and one.bar <= bar]
    if not own:
        voice = problem.ensemble.voices[pin.voice]
        return f"is {voice.low} to {voice.high}"
    since = f"from bar {own[-1].bar} on " if own[-1].bar else ""
    return f"{since}is {own[-1].low} to {own[-1].high}"


def explain_no_path(problem: Problem, fault: NoPathError, pins: Sequence[Pin]) -> NoSolutionError:
    """Say which rule on steps leaves no way from one chord to the next."""
    slots = problem.progression.slots
    slot, before = slots[fault.layer], slots[fault.layer - 1]
    own, earlier = problem.layout.voicings[fault.layer], problem.layout.voicings[fault.layer - 1]
    rules = problem.rules.steps
    names = list_words([rule.name for rule in rules]) or "order"
    voice = None
    if own is not None and earlier is not None and rules:
        # A few of what may be thousands show well enough which rule it is.
        reached = earlier.chosen(np.array(fault.reached[:MOST_ASKED], dtype=np.intp))
        names, voice = _blame(problem, reached, own)
    pinned = sorted({p.slot for p in pins if p.slot in (fault.layer - 1, fault.layer)})
    advice = "take a pin there away" if pinned else "give it up there, or widen the registers"
    told = f" ({voice} is caught)" if voice else ""
    return NoSolutionError(
        f"No way leads from {before.figure} to {slot.figure} at {slot.place} under the rule"
        f" {names}{told}; {advice}.",
        rule=names, chord=slot.figure, voice=voice, relax=advice, where=slot.place,
    )  # fmt: skip


def _blame(problem: Problem, before: Voicings, after: Voicings) -> tuple[str, str | None]:
    """The rule that alone bars every step, and the voice that moves most at the least moving."""
    steps = Steps(before, after)
    masks = [(rule.name, rule.allows(steps)) for rule in problem.rules.steps]
    barring = [name for name, mask in masks if not mask.any()]
    total = steps.sizes.sum(axis=0)
    row, col = np.unravel_index(int(total.argmin()), total.shape)
    moved = int(steps.sizes[:, row, col].argmax())
    voice = problem.ensemble.voices[len(problem.ensemble) - 1 - moved].name
    return list_words(barring or [name for name, _ in masks]), voice

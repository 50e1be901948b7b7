"""A harmonisation carried to voices: the tune in one of them, no consecutives against it.

The voicing weighs each chord against one note of the tune; the tune may move on while
the chord lasts, and its last note before a change can make fifths or octaves that the
chords alone do not show. They are looked for in the lines as they sound and mended by
the cheapest other note of an inner voice or the bass an octave away, everything else
voiced anew around it.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from harmony.chords.progression import Progression
from harmony.errors import HarmonyError
from harmony.harmonising.easing import allow_enough
from harmony.harmonising.harmonisation import Harmonisation
from harmony.harmonising.pedal_voices import HeldVoice, place_pedals
from harmony.harmonising.spelling import stack_names
from harmony.pitch.spelling import Pitch
from harmony.pitch.theme import Theme

if TYPE_CHECKING:
    from harmony.instruments.ensemble import Ensemble
    from harmony.voicings.problem import Problem
    from harmony.voicings.realisation import Realisation
    from harmony.voicings.result import Voiced

#: The preset of costs under which an idiom's chords are voiced.
PRESETS = {
    "common-practice": "chorale", "parallel": "parallel", "quartal": "free", "extended": "free",
    "pedal": "free", "ostinato": "chorale", "own": "free", "romantic": "chorale",
}  # fmt: skip
#: Idioms in which consecutive fifths and octaves are faults.
STRICT = ("common-practice", "romantic", "ostinato")
#: Their costs in a strict idiom: far above any other, so that none is bought for a shorter way.
_STRICT_WEIGHTS = {
    "consecutive_perfects": 20.0, "direct_perfects": 4.0, "leaps": 2.0, "doubling": 2.0,
}  # fmt: skip
_ROUNDS, _REACH, _STEP = 24, 7, 2


@dataclass(frozen=True, slots=True)
class Fault:
    """What part-writing forbids: its kind, the chord (from 0) it leads to, its voices (from 0).

    Kinds: ``consecutive`` fifths or octaves; ``direct`` ones of the outer voices where
    the tune leaps; a ``wide`` leap of a voice (a seventh, or over an octave); an
    ``augmented`` step of an inner voice; a ``doubled`` leading tone, which the chord
    before has.
    """

    kind: str
    slot: int
    voices: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Carried:
    """A harmonisation voiced for players, and which of their voices hold its pedals.

    ``held`` are the pedals that the chords' own text has no word for (see
    :mod:`harmony.harmonising.pedal_voices`).
    """

    voiced: Voiced
    held: tuple[HeldVoice, ...] = ()


def carry_to_players(
    one: Harmonisation,
    ensemble: str | Ensemble = "SATB choir",
    *,
    preset: str | None = None,
    voice: str | None = None,
    bass: Theme | None = None,
) -> Carried:
    """Voice a harmonisation for players with the tune in a voice of theirs, its rhythm kept.

    The tune lies in ``voice``, the top one if it is left out, in none if it is empty;
    ``bass``, where one was given, in the lowest. A pedal that no chord is written over or
    under is held by a voice of its own. The costs are those of the idiom's preset unless
    another is named; in idioms that know consecutive fifths and octaves as faults those
    left in the lines are mended as far as another note of a voice can. A stack of fourths
    with more notes than there are voices leaves its lowest out. Where what is given leaves
    no voicing by all the rules some are let go;
    :func:`harmony.harmonising.easing.say_let_go` tells where.

    Raises
    ------
    NoSolutionError
        Where the tune lies outside its voice, or a chord has more notes than there are
        voices and none may be left out.
    """
    from harmony.instruments.catalogue import ensemble as find_ensemble
    from harmony.voicings import api
    from harmony.voicings.result import Voiced

    players = find_ensemble(ensemble)
    names = [one_voice.name for one_voice in players.voices]
    tune = names[0] if voice is None else voice
    lines = {tune: one.theme} if tune else {}
    if bass is not None:
        lines[names[-1]] = bass
    usual = preset or PRESETS.get(one.idiom)
    chords = _thin(one.progression, len(players))

    def prepare(given: Mapping[str, Theme]) -> Problem:
        voices: dict[str, Any] = dict(given)
        return allow_enough(api.prepare(chords, players, None, voices or None, preset=usual))

    lines, held = place_pedals(one, players, lines, prepare)
    problem = prepare(lines)
    is_strict = one.idiom in STRICT and preset is None
    best = _mend(problem, lines) if is_strict else problem.best()
    return Carried(Voiced(problem, (best,)), held)


def voice_under_melody(
    one: Harmonisation,
    ensemble: str | Ensemble = "SATB choir",
    *,
    preset: str | None = None,
    voice: str | None = None,
    bass: Theme | None = None,
) -> Voiced:
    """Voice a harmonisation as :func:`carry_to_players` does, and give the voicing alone."""
    return carry_to_players(one, ensemble, preset=preset, voice=voice, bass=bass).voiced


def _thin(progression: Progression, voices: int) -> Progression:
    """Take from stacks of fourths with more notes than voices their lowest ones."""
    slots = tuple(
        replace(slot, chord=stack_names(tuple(slot.chord.names)[-voices:]))
        if slot.chord is not None and slot.chord.stacked and len(slot.chord.names) > voices
        else slot
        for slot in progression
    )
    return replace(progression, slots=slots)


def _mend(problem: Problem, lines: Mapping[str, Theme]) -> Realisation:
    """The cheapest voicing, then the cheapest with fewer faults, until none is left to mend."""
    realised = problem.best(_STRICT_WEIGHTS)
    pins: tuple[str, ...] = ()
    waiting = find_faults(realised, lines)
    count = len(waiting)
    for _ in range(_ROUNDS):
        if not waiting:
            break
        better: tuple[float, Realisation, tuple[str, ...], list[Fault]] | None = None
        for pin in _other_notes(realised, waiting[0], set(lines)):
            try:
                tried = problem.best(_STRICT_WEIGHTS, (*pins, pin))
            except HarmonyError:
                continue  # no voicing has that note there
            left = find_faults(tried, lines)
            cost = tried.cost
            if len(left) < count and (better is None or cost < better[0]):
                better = (cost, tried, (*pins, pin), left)
        if better is None:
            # Nothing helps here; the next fault may still be mended.
            waiting = waiting[1:]
            continue
        _, realised, pins, waiting = better
        count = len(waiting)
    return realised


def find_faults(realised: Realisation, lines: Mapping[str, Theme]) -> list[Fault]:
    """Find the faults of part-writing in the lines as they sound.

    Not across the end of a phrase marked by a fermata; nor in the lines that are given.
    """
    names = [voice.name for voice in realised.ensemble.voices]
    heights = [[None if pitch is None else pitch.midi for pitch in row] for row in realised.pitches]
    found = []
    for number, slot in enumerate(realised.progression.slots[1:], start=1):
        old: list[int | None] = list(heights[number - 1])
        new: list[int | None] = list(heights[number])
        ends = False
        for place, name in enumerate(names):
            if name in lines:
                old[place], ended = _last_before(lines[name], slot.onset)
                new[place] = _at(lines[name], slot.onset)
                ends |= ended
        if ends:
            continue
        found += [
            Fault(kind, number, pair)
            for pair in itertools.combinations(range(len(names)), 2)
            if (kind := _judge_pair(old, new, pair)) is not None
        ]
        found += [
            Fault("wide", number, (place,))
            for place, name in enumerate(names)
            if name not in lines and _is_wide(old[place], new[place])
        ]
        found += [
            Fault("augmented", number, (place,))
            for place in range(1, len(names) - 1)
            if names[place] not in lines and _is_augmented(realised, number, place)
        ]
        led = _find_leading(realised, number)
        doubled = tuple(place for place, midi in enumerate(old) if midi and midi % 12 == led)
        if len(doubled) > 1:
            found.append(Fault("doubled", number, doubled))
    return found


def _judge_pair(
    old: Sequence[int | None], new: Sequence[int | None], pair: tuple[int, int]
) -> str | None:
    high, low, then, below = old[pair[0]], old[pair[1]], new[pair[0]], new[pair[1]]
    if high is None or low is None or then is None or below is None:
        return None
    comes = (then - below) % 12
    if comes not in (0, 7) or (then - high) * (below - low) <= 0:
        return None
    if (high - low) % 12 == comes:
        return "consecutive"
    is_outer = pair == (0, len(old) - 1)
    return "direct" if is_outer and abs(then - high) > _STEP else None


def _is_wide(before: int | None, after: int | None) -> bool:
    if before is None or after is None:
        return False
    size = abs(after - before)
    return size in (10, 11) or size > 12


def _is_augmented(realised: Realisation, number: int, place: int) -> bool:
    rows = realised.pitches[number - 1 : number + 1]
    if not all(rows):
        return False
    before, after = rows[0][place], rows[1][place]
    steps, size = abs(after.staff_step - before.staff_step), abs(after.midi - before.midi)
    usual = {0: 0, 1: 2, 2: 4, 3: 5, 4: 7, 5: 9, 6: 11}[steps % 7] + 12 * (steps // 7)
    return steps > 0 and size == usual + 1


def _find_leading(realised: Realisation, number: int) -> int | None:
    """The leading tone of a dominant that goes to its tonic with this chord, else None."""
    before = realised.progression.slots[number - 1].chord
    after = realised.progression.slots[number].chord
    if before is None or after is None:
        return None
    falls = (after.root.pitch_class - before.root.pitch_class) % 12 == 5
    is_dominant = before.quality.name in ("maj", "dom7") and after.quality.name in ("maj", "min")
    return (before.root.pitch_class + 4) % 12 if falls and is_dominant else None


def _at(theme: Theme, time: Fraction) -> int | None:
    note = next((n for n in theme.line.sounding if n.onset <= time < n.end), None)
    return None if note is None or note.pitch is None else note.pitch.midi


def _last_before(theme: Theme, time: Fraction) -> tuple[int | None, bool]:
    """The note that sounds just before a time, and whether it has a fermata and ends there."""
    note = next((n for n in reversed(theme.line.sounding) if n.onset < time), None)
    if note is None or note.pitch is None or note.end < time:
        return None, False
    return note.pitch.midi, "fermata" in note.marks and note.end <= time


def _other_notes(realised: Realisation, fault: Fault, given: set[str]) -> Iterator[str]:
    """Pins that give a voice of a fault another note, before it or where it leads."""
    names = [voice.name for voice in realised.ensemble.voices]
    for number in (fault.slot, fault.slot - 1):
        slot = realised.progression.slots[number]
        for place in fault.voices:
            if slot.chord is None or names[place] in given:
                continue
            here = realised.pitches[number][place]
            at = f"{slot.bar}.{float(slot.beat):g} {names[place]}="
            if place == len(names) - 1:
                # The bass keeps its note, and may take it an octave away.
                yield f"{at}{Pitch(here.letter, here.alter, here.octave - 1)}"
                yield f"{at}{Pitch(here.letter, here.alter, here.octave + 1)}"
                continue
            for name in slot.chord.names:
                for midi in range(here.midi - _REACH, here.midi + _REACH + 1):
                    if midi % 12 == name.pitch_class and midi != here.midi:
                        yield f"{at}{name.at_midi(midi)}"

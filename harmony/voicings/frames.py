"""The limits each chord's voicings keep, from the ensemble, the rules and what is given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from harmony.chords.progression import Slot
from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble, Voice
from harmony.voicings.candidates import Frame
from harmony.voicings.pins import RegisterChange
from harmony.voicings.presets import Preset
from harmony.voicings.rules import RuleSet

NARROWEST_MIDDLE = 5


def build_frame(ensemble: Ensemble, rules: RuleSet, preset: Preset) -> Frame:
    """The limits of an ensemble under a set of rules, lowest voice first."""
    voices = ensemble.voices[::-1]
    gaps = ensemble.gaps[::-1] if ensemble.gaps and rules.gaps else (0,) * (len(voices) - 1)
    doubled, octaves = _read_doublings(ensemble, rules)
    return Frame(
        low=tuple(voice.low.midi for voice in voices),
        high=tuple(voice.high.midi for voice in voices),
        gaps=gaps,
        crossing=rules.crossing,
        easy=tuple(best_register(voice) for voice in voices),
        doubled=doubled,
        octaves=octaves,
        at_most=1 if rules.tendency_once else None,
        keeps_bass=rules.keeps_bass,
        is_complete=rules.is_complete,
        span=preset.hand_span,
    )


def best_register(voice: Voice) -> tuple[int, int]:
    """The middle half of what a voice may use and its player finds easy, MIDI numbers."""
    low, high = voice.low.midi, voice.high.midi
    easy_low = max(low, voice.player.instrument.easy_low.midi)
    easy_high = min(high, voice.player.instrument.easy_high.midi)
    if easy_high - easy_low < NARROWEST_MIDDLE:
        easy_low, easy_high = low, high
    quarter = (easy_high - easy_low) // 4
    return easy_low + quarter, easy_high - quarter


def _read_doublings(ensemble: Ensemble, rules: RuleSet) -> tuple[tuple[int, ...], tuple[int, ...]]:
    if not rules.doublings:
        return (), ()
    count = len(ensemble)
    doubled, octaves = [-1] * count, [0] * count
    for follower, leader, distance in rules.doublings:
        here = count - 1 - ensemble.voice_index(follower)
        there = count - 1 - ensemble.voice_index(leader)
        if here <= there:
            # Voices are joined from the lowest up, so the lower of the two leads.
            here, there, distance = there, here, -distance
        if here == there or doubled[there] >= 0:
            raise HarmonyError(
                f"{follower} cannot double {leader}: each strand needs one voice of its own."
            )
        doubled[here], octaves[here] = there, distance
    return tuple(doubled), tuple(octaves)


def frame_at(
    frame: Frame, slot: Slot, changes: Sequence[RegisterChange], given: dict[int, int]
) -> Frame:
    """The limits at one chord: registers that changed by its bar, and given pitches.

    `given` maps a voice, counted from the top, to a MIDI number.
    """
    count = len(frame)
    low, high, easy = list(frame.low), list(frame.high), list(frame.easy)
    for change in changes:
        if change.bar <= slot.bar:
            voice = count - 1 - change.voice
            low[voice], high[voice] = change.low.midi, change.high.midi
            quarter = (high[voice] - low[voice]) // 4
            easy[voice] = low[voice] + quarter, high[voice] - quarter
    pitches: list[int | None] = [None] * count
    for voice, midi in given.items():
        pitches[count - 1 - voice] = midi
    return replace(
        frame,
        low=tuple(low),
        high=tuple(high),
        easy=tuple(easy),
        given=tuple(pitches) if given else (),
    )

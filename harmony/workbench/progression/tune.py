"""The shown alternative as the player plays it: each voice by its own player, as loud as set."""

from __future__ import annotations

from typing import Any

from harmony.workbench.playback import build_tune, build_voice, sound_line, sound_note
from harmony.workbench.progression.work import Work


def work_to_tune(work: Work) -> dict[str, Any]:
    """Give the shown alternative as the player's tune."""
    progression = work.problem.progression
    loudness = dict(work.choices.loudness)
    voices = []
    for place, voice in enumerate(work.problem.ensemble.voices):
        given = next((one.line for one in work.shown.given if one.voice == place), None)
        notes = (sound_line(given) if given is not None else []) or [
            sound_note(slot.onset, slot.duration, pitches[place])
            for slot, pitches in zip(progression.slots, work.shown.pitches, strict=True)
            if pitches
        ]
        share = 10.0 ** (loudness.get(voice.name, 0) / 20.0)
        voices.append(build_voice(voice.player.instrument, notes, share=share))
    chords = [
        (number, slot.onset, slot.duration)
        for number, slot in enumerate(progression.slots)
        if slot.chord is not None
    ]
    return build_tune(voices, chords, meters=progression.meters, end=progression.end)

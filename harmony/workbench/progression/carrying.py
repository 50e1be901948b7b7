"""One voice of the shown alternative, carried on as a melody."""

from __future__ import annotations

from dataclasses import replace

from harmony.errors import HarmonyError
from harmony.pitch import Line, Note, Theme
from harmony.scoring.build import theme_to_score
from harmony.sketchbook import Keep, Record, Sketchbook
from harmony.workbench.keeping import MELODY
from harmony.workbench.progression.keeping import USUAL_NAME
from harmony.workbench.progression.work import Work

TOP = 0


def carry_voice(sketchbook: Sketchbook, name: str, work: Work, voice: int, *, tempo: float) -> Keep:
    """Keep a voice as a melody of its own, which the other desks open.

    Parameters
    ----------
    sketchbook
        Where it is kept.
    name
        What the progression is called; the voice's name is put after it.
    voice
        Which, 0 the top.
    tempo
        In quarters a minute.

    Raises
    ------
    HarmonyError
        If the progression is silent, or nothing can be kept there.
    """
    own = work.problem.ensemble.voices[voice].name
    called = f"{name.strip() or USUAL_NAME}, {own}"
    theme = replace(voice_to_theme(work, voice, tempo=tempo), title=called)
    record = Record(
        desk=MELODY,
        source=work.choices.text,
        ensemble=work.choices.ensemble,
        ancestry=(*work.choices.ancestry, theme.source),
        settings={"voice": own},
    )
    return sketchbook.keep(called, theme_to_score(theme, part_name=own), record)


def voice_to_theme(work: Work, voice: int, *, tempo: float) -> Theme:
    """Give a voice of the shown alternative as a melody, silent where no chord sounds."""
    progression, own = work.problem.progression, work.problem.ensemble.voices[voice].name
    if not any(work.shown.pitches):
        raise HarmonyError("Nothing sounds in this progression; a chord is needed.")
    notes = tuple(
        Note(slot.onset, slot.duration, pitches[voice] if pitches else None)
        for slot, pitches in zip(progression.slots, work.shown.pitches, strict=True)
    )
    return Theme(
        Line(notes),
        progression.meters,
        key=progression.slots[0].key,
        source=f"{own} of {work.choices.text}",
        quarters_per_minute=tempo,
    )

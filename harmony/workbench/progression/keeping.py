"""Keeping what is shown, and opening a keep so that the desk stands as it stood."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from harmony.errors import HarmonyError
from harmony.pitch.line import Line
from harmony.pitch.note import Note
from harmony.pitch.spelling import Pitch
from harmony.sketchbook import Keep, Record, Sketchbook
from harmony.voicings.pins import parse_pin, parse_range
from harmony.voicings.problem import Problem
from harmony.workbench.progression.naming import read_name, work_to_score
from harmony.workbench.progression.players import LOUDEST_DB, SOFTEST_DB
from harmony.workbench.progression.state import FIRST_LETTER, Choices, PinnedNote
from harmony.workbench.progression.work import LETTERS, Work, prepare_text
from harmony.workbench.steps import FURTHEST_STEP, OFF_STEP

DESK = "progression"
USUAL_NAME = "Progression"


def keep_work(sketchbook: Sketchbook, name: str, work: Work) -> Keep:
    """Keep the shown alternative under a name; the next free one where it is taken.

    Raises
    ------
    HarmonyError
        For a name no file can have, or a folder that cannot be written to.
    """
    return sketchbook.keep(name.strip() or USUAL_NAME, work_to_score(work), work_to_record(work))


def work_to_record(work: Work) -> Record:
    """Give what is remembered of the shown alternative."""
    choices, shown = work.choices, work.shown
    return Record(
        desk=DESK,
        source=choices.text,
        ensemble=choices.ensemble,
        weights=dict(shown.weights),
        pins=tuple(pin.text for pin in choices.pins),
        cost=shown.cost,
        terms=shown.term_costs,
        status=shown.outcome.status,
        ancestry=choices.ancestry,
        settings={
            "sliders": dict(choices.sliders),
            "terms": dict(choices.terms),
            "alternative": choices.letter,
            "registers": {name: f"{low}-{high}" for name, (low, high) in choices.registers},
            "loudness": dict(choices.loudness),
            "hides_names": choices.hides_names,
            "locked": [note.text for note in choices.held],
            "names": [[bar, str(beat), name] for (bar, beat), name in choices.names],
            "given": [[name, _write_line(line)] for name, line in choices.given],
            "manner": choices.manner,
            "later": list(choices.later),
            "movement": {name: list(kinds) for name, kinds in choices.movement},
        },
    )


def keep_to_choices(keep: Keep) -> Choices:
    """Give the choices a keep was made with; what is made from them descends from it.

    Raises
    ------
    HarmonyError
        If it was kept at another desk, or its record does not fit together.
    """
    record = keep.record
    if record.desk != DESK:
        raise HarmonyError(
            f"{keep.name!r} was kept at another desk; progressions are accepted here, and chords"
            " read from its score under Read the chords of a score."
        )
    letter = record.settings.get("alternative", FIRST_LETTER)
    problem = prepare_text(record.source, record.ensemble)
    return Choices(
        record.source,
        record.ensemble,
        _read_steps(record.settings, "sliders", -FURTHEST_STEP),
        _read_steps(record.settings, "terms", OFF_STEP),
        _read_notes(record.pins, problem),
        letter if letter in tuple(LETTERS) else FIRST_LETTER,
        ancestry=(*record.ancestry, keep.name),
        registers=_read_registers(record.settings),
        loudness=_read_loudness(record.settings),
        hides_names=record.settings.get("hides_names") is True,
        names=_read_names(record.settings),
        held=_read_notes(record.settings.get("locked", ()), problem),
        given=_read_given(record),
        manner=str(record.settings.get("manner", "")),
        later=_read_texts(record.settings.get("later")),
        movement=_read_movement(record.settings),
    )


def _write_line(line: Line) -> list[list[str | None]]:
    return [
        [str(note.onset), str(note.duration), None if note.pitch is None else str(note.pitch)]
        for note in line
    ]


def _read_given(record: Record) -> tuple[tuple[str, Line], ...]:
    try:
        return tuple(
            (
                str(name),
                Line(
                    tuple(
                        Note(Fraction(onset), Fraction(length), pitch and Pitch.from_text(pitch))
                        for onset, length, pitch in notes
                    )
                ),
            )
            for name, notes in record.settings.get("given", [])
        )
    except (TypeError, ValueError, ArithmeticError) as fault:
        raise HarmonyError(
            "The record of the keep was changed: the line given to a voice cannot be read."
        ) from fault


def _read_notes(texts: Any, problem: Problem) -> tuple[PinnedNote, ...]:
    notes = []
    for text in texts if isinstance(texts, (list, tuple)) else ():
        pin = parse_pin(str(text), problem.progression, problem.ensemble)
        slot = problem.progression.slots[pin.slot]
        name = problem.ensemble.voices[pin.voice].name
        notes.append(PinnedNote(slot.bar, slot.beat, name, pin.pitch))
    return tuple(notes)


def _read_registers(settings: Mapping[str, Any]) -> tuple[tuple[str, tuple[Pitch, Pitch]], ...]:
    found = settings.get("registers", {})
    if not isinstance(found, dict):
        return ()
    return tuple((str(name), parse_range(str(value))) for name, value in found.items())


def _read_texts(found: Any) -> tuple[str, ...]:
    return tuple(map(str, found)) if isinstance(found, list) else ()


def _read_movement(settings: Mapping[str, Any]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    found = settings.get("movement", {})
    if not isinstance(found, dict):
        return ()
    return tuple((str(name), _read_texts(kinds)) for name, kinds in found.items() if kinds)


def _read_names(settings: Mapping[str, Any]) -> tuple[tuple[tuple[int, Fraction], str], ...]:
    found = settings.get("names", [])
    if not isinstance(found, list):
        return ()
    try:
        return tuple(
            ((int(bar), Fraction(str(beat))), read_name(str(name))) for bar, beat, name in found
        )
    except (TypeError, ValueError, ArithmeticError) as fault:
        raise HarmonyError(
            "The record of the keep was changed: the names of its chords cannot be read."
        ) from fault


def _read_loudness(settings: Mapping[str, Any]) -> tuple[tuple[str, int], ...]:
    found = settings.get("loudness", {})
    if not isinstance(found, dict):
        return ()
    return tuple(
        sorted(
            (str(name), decibels)
            for name, decibels in found.items()
            if isinstance(decibels, int) and SOFTEST_DB <= decibels <= LOUDEST_DB
        )
    )


def _read_steps(settings: Mapping[str, Any], key: str, lowest: int) -> tuple[tuple[str, int], ...]:
    found = settings.get(key, {})
    if not isinstance(found, dict):
        return ()
    return tuple(
        sorted(
            (str(name), step)
            for name, step in found.items()
            if isinstance(step, int) and lowest <= step <= FURTHEST_STEP
        )
    )

"""From what was found to what is shown at the harmonising desk; nothing here knows a widget."""

from __future__ import annotations

from typing import Any

from harmony.chords.progression import Slot
from harmony.harmonising.harmonisation import Harmonisation
from harmony.instruments.catalogue import instrument
from harmony.workbench.harmonising.counter import counter_of
from harmony.workbench.harmonising.course import draw_course
from harmony.workbench.harmonising.grid import Cell, Grid, build_grid, say_key, write_figure
from harmony.workbench.harmonising.tune import open_given
from harmony.workbench.harmonising.voicing import chords_of
from harmony.workbench.harmonising.words import say_idea, say_place
from harmony.workbench.harmonising.work import LETTERS, Work
from harmony.workbench.playback import Sounding, build_tune, build_voice, sound_line, sound_note
from harmony.workbench.words import speak_pitch

TUNE_PLAYER, CHORD_PLAYER, COUNTER_PLAYER, BASS_PLAYER = "oboe", "violin", "clarinet", "cello"
CHORD_SHARE = 0.6  # how loud the chords are beside the tune
_MOST_VOICES = 8
_SIGNS = str.maketrans({"\u266d": " flat ", "\u266f": " sharp ", "\u00b0": " diminished ",
                        "\u00f8": " half-diminished "})  # fmt: skip
_APART = {"other root": ", another root", "other form": ", the same root otherwise", "same": ""}


def present_figures(work: Work) -> list[dict[str, Any]]:
    """Give what there is to walk through: the tune on top, then a row for each alternative."""
    grid = build_grid(work)
    return [*_present_tune_notes(work, grid), *_present_cells(work, grid)]


def _present_tune_notes(work: Work, grid: Grid) -> list[dict[str, Any]]:
    first: dict[int, tuple[int, list[str]]] = {}
    for index, note in enumerate(work.theme.line):
        if note.pitch is None or note.onset < grid.onsets[0]:
            continue
        column = grid.column(note.onset)
        first.setdefault(column, (index, []))[1].append(speak_pitch(note.pitch))
    return [
        {
            "id": f"n{index}",
            "slot": column,
            "voice": 0,
            "spoken": f"Tune, {say_place(work.theme, grid.onsets[column])}: {', '.join(pitches)}",
            "pinned": False,
        }
        for column, (index, pitches) in sorted(first.items())
    ]


def _present_cells(work: Work, grid: Grid) -> list[dict[str, Any]]:
    return [
        {
            "id": f"f{row}-{column}",
            "slot": column,
            "voice": row + 1,
            "spoken": _speak(work, grid, row, column, cell),
            "pinned": cell.is_fixed,
        }
        for row, cells in enumerate(grid.rows)
        for column, cell in enumerate(cells)
        if cell is not None
    ]


def _speak(work: Work, grid: Grid, row: int, column: int, cell: Cell) -> str:
    slot = work.alternatives[row].progression.slots[cell.slot]
    named = " ".join(write_figure(slot).translate(_SIGNS).split())
    key = "" if slot.key is None else f" in {' '.join(say_key(slot.key).translate(_SIGNS).split())}"
    held = "" if cell.begins else ", held"
    fixed = ", fixed" if cell.is_fixed else ""
    apart = "" if row == work.number else _APART[cell.kind]
    where = say_place(work.theme, grid.onsets[column])
    return f"{LETTERS[row]}, {where}: {named}{key}{held}{fixed}{apart}"


def present_offers(work: Work) -> list[dict[str, Any]]:
    """Give the alternatives with their ideas, a line of cost by bar, and which is shown."""
    return [
        {
            "letter": LETTERS[number],
            "sentence": say_idea(one),
            "picture": draw_course(one),
            "shown": number == work.number,
        }
        for number, one in enumerate(work.alternatives)
    ]


def present_sound(work: Work) -> dict[str, Any]:
    """Give the shown alternative as the player's tune.

    Every alternative has the same columns, so that one follows another while it plays.
    """
    grid, theme = build_grid(work), work.theme
    layers: list[list[Sounding]] = [[] for _ in range(_MOST_VOICES)]
    for slot, pitches in zip(work.shown.progression, chords_of(work, work.number), strict=True):
        for layer, pitch in zip(layers, pitches, strict=False):
            layer.append(sound_note(slot.onset, slot.duration, pitch))
    bass = open_given(work.choices.question).bass
    lines = ((theme, TUNE_PLAYER), (counter_of(work), COUNTER_PLAYER), (bass, BASS_PLAYER))
    voices = [
        build_voice(instrument(player), sound_line(own.line))
        for own, player in lines
        if own is not None
    ]
    chords = instrument(CHORD_PLAYER)
    voices += [build_voice(chords, layer, share=CHORD_SHARE) for layer in layers if layer]
    return build_tune(
        voices,
        [(column, onset, grid.length(column)) for column, onset in enumerate(grid.onsets)],
        meters=theme.meters,
        end=max(grid.end, theme.line.end),
    )


def chosen_cell(work: Work) -> tuple[int, Cell] | None:
    """Give the column and the cell of the shown alternative at the chosen place."""
    if work.choices.place is None:
        return None
    grid = build_grid(work)
    column = grid.column(work.choices.place)
    cell = grid.rows[work.number][column]
    return None if cell is None else (column, cell)


def slot_at_cell(one: Harmonisation, cell: Cell) -> Slot:
    """Give the chord behind a cell."""
    return one.progression.slots[cell.slot]

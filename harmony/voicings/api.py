"""Voicing a progression: the functions `harmony.voice` and `harmony.prepare`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from harmony.chords.api import parse
from harmony.chords.progression import Progression
from harmony.instruments.catalogue import ensemble as find_ensemble
from harmony.instruments.ensemble import Ensemble
from harmony.pitch.spelling import Pitch
from harmony.search import Report
from harmony.voicings.melody import Given, read_melody
from harmony.voicings.movement import ask_for_movement, read_movement
from harmony.voicings.pins import Pin, read_pins, read_registers
from harmony.voicings.presets import load_preset
from harmony.voicings.problem import Problem
from harmony.voicings.result import Voiced
from harmony.voicings.rules import RuleSet

Registers = Mapping[str, str | tuple[Pitch, Pitch]] | Iterable[str]


def prepare(
    progression: Progression | str,
    ensemble: Ensemble | str,
    rules: RuleSet | None = None,
    melody: Given | Mapping[str, Given] | None = None,
    *,
    preset: str | None = None,
    registers: Registers | None = None,
    pins: Iterable[str | Pin] = (),
    movement: Mapping[str, Sequence[str] | str] | None = None,
) -> Problem:
    """Prepare a progression for voicing; its answers to other weights then come at once.

    Parameters
    ----------
    progression
        Chords, or their text.
    ensemble
        Players, by name or as a value.
    rules
        What may not be done; by default as the preset has it.
    melody
        A line for the highest voice, or a mapping of voices to lines.
    preset
        A name of `preset_names()`; by default the ensemble's own.
    registers
        Voices to ``LOW-HIGH`` (see `read_registers`).
    pins
        Pins that hold for every answer.
    movement
        Voices to the movement between chords asked of them: ``passing``,
        ``neighbour``, ``suspension``, one or several.

    Raises
    ------
    HarmonyError
        For anything that cannot be read.
    """
    chords = parse(progression) if isinstance(progression, str) else progression
    players = find_ensemble(ensemble)
    # The learnt chorale measures know four real parts and no doublings.
    parts = 0 if rules is not None and rules.doublings else len(players)
    chosen = load_preset(preset or players.preset, parts)
    moving = read_movement(movement, players)
    if moving:
        chosen = ask_for_movement(chosen, moving)
    return Problem(
        chords,
        players,
        chosen,
        chosen.rules if rules is None else rules,
        read_melody(melody, chords, players),
        read_registers(registers, players),
        read_pins(pins, chords, players),
        moving,
    )


def voice(
    progression: Progression | str,
    ensemble: Ensemble | str,
    *,
    count: int = 1,
    unlike: int = 0,
    preset: str | None = None,
    weights: Mapping[str, float | str] | None = None,
    pins: Iterable[str | Pin] = (),
    registers: Registers | None = None,
    melody: Given | Mapping[str, Given] | None = None,
    report: Report | None = None,
) -> Voiced:
    """Realise a progression for an ensemble at the least cost, proven.

    Parameters
    ----------
    count, unlike
        How many alternatives, and in how many chords each must differ from every
        earlier one (0: simply the cheapest in order); up to 100 unlike ones, 10,000
        in order.
    preset, weights
        A way of writing, and weights that differ from it, by term.
    pins, registers, melody
        See `prepare`.
    report
        Told of the progress of a large problem; where it answers False, the best found
        so far comes back, with the bound reached.

    Raises
    ------
    HarmonyError
        For anything that cannot be read, and (as NoSolutionError, naming rule, chord
        and voice) where no realisation exists.

    >>> voice("C: I | V7 | I", "SATB choir").alternatives[0].outcome.status
    'optimal'
    """
    problem = prepare(
        progression, ensemble, None, melody, preset=preset, registers=registers, pins=pins
    )
    if unlike:
        return Voiced(problem, problem.unlike(count, unlike, weights, report=report))
    return Voiced(problem, problem.k_best(count, weights, report=report))

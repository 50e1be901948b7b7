"""How chords are named: by roman numerals, by chord symbols, or as their idiom has it."""

from __future__ import annotations

from dataclasses import replace

from harmony.chords.chord import Chord
from harmony.chords.naming import chord_symbol, figure_in_key
from harmony.chords.progression import Slot
from harmony.errors import HarmonyError
from harmony.harmonising.harmonisation import Harmonisation, Harmonisations
from harmony.pitch.key import Key

AS_IDIOM, NUMERALS, SYMBOLS = "idiom", "numerals", "symbols"
FIGURES = (AS_IDIOM, NUMERALS, SYMBOLS)


def name_chords(found: Harmonisations, figures: str) -> Harmonisations:
    """Give harmonisations with every chord named one way.

    Stacks keep the notes they are written with, which neither numerals nor symbols say.

    Raises
    ------
    HarmonyError
        For another way than ``idiom``, ``numerals`` or ``symbols``.
    """
    if figures not in FIGURES:
        raise HarmonyError(
            f"{figures!r} is no way to name chords; {', '.join(FIGURES)} are.", where="figures"
        )
    if figures == AS_IDIOM:
        return found
    named = tuple(_name_all(one, figures, found.melody.key) for one in found.alternatives)
    return replace(found, alternatives=named)


def _name_all(one: Harmonisation, figures: str, home: Key) -> Harmonisation:
    slots = tuple(_name(slot, figures, home) for slot in one.progression)
    return replace(one, progression=replace(one.progression, slots=slots))


def _name(slot: Slot, figures: str, home: Key) -> Slot:
    chord = slot.chord
    if chord is None or chord.stacked or chord.fixed:
        return slot
    named = chord_symbol(chord) if figures == SYMBOLS else _numeral(chord, slot.key or home)
    return replace(slot, chord=replace(chord, figure=named))


def _numeral(chord: Chord, key: Key) -> str:
    try:
        return figure_in_key(chord, key)
    except HarmonyError:
        # A chord that no numeral says keeps the name it has.
        return chord.figure

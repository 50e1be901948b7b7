"""The players' registers and loudness as the desk has them set."""

from __future__ import annotations

from typing import Any

from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble, Voice
from harmony.pitch.spelling import Pitch
from harmony.workbench.progression.state import Choices
from harmony.workbench.words import write_pitch

SOFTEST_DB, LOUDEST_DB = -24, 6


def present_players(choices: Choices, ensemble: Ensemble) -> list[dict[str, Any]]:
    """Give a line for each player, as :class:`harmony.workbench.parts.players.Players` has it."""
    registers, loudness = dict(choices.registers), dict(choices.loudness)
    items = []
    for voice in ensemble.voices:
        low, high = register_of(voice, registers)
        usual = f"usually {write_pitch(voice.low)} to {write_pitch(voice.high)}"
        items.append(
            {
                "name": voice.name,
                "low": str(low),
                "high": str(high),
                "usual": usual if voice.name in registers else "",
                "loudness": loudness.get(voice.name, 0),
            }
        )
    return items


def register_of(voice: Voice, registers: dict[str, tuple[Pitch, Pitch]]) -> tuple[Pitch, Pitch]:
    """Give a voice's register: the one set, or its usual one."""
    return registers.get(voice.name, (voice.low, voice.high))


def read_register(voice: Voice, low: str, high: str) -> tuple[Pitch, Pitch] | None:
    """Read a register as typed; None where it is the usual one. An empty box is the usual note.

    Raises
    ------
    HarmonyError
        If a note cannot be read, or the lowest lies above the highest.
    """
    lowest = _read_note(voice, low) if low.strip() else voice.low
    highest = _read_note(voice, high) if high.strip() else voice.high
    if lowest.midi > highest.midi:
        raise HarmonyError(
            f"The register of {voice.name} goes up from {lowest} to {highest}, which is lower;"
            " the lower note first is accepted.",
            where=voice.name,
        )
    return None if (lowest, highest) == (voice.low, voice.high) else (lowest, highest)


def _read_note(voice: Voice, text: str) -> Pitch:
    try:
        return Pitch.from_text(text.strip())
    except HarmonyError:
        raise HarmonyError(
            f"{text.strip()!r} in the register of {voice.name} is not a note; names such as"
            f" {voice.low} are accepted.",
            where=voice.name,
        ) from None

"""What the composer has set: pins and registers, from their texts."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from harmony.chords.progression import Progression
from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble
from harmony.pitch.meter import say_place
from harmony.pitch.spelling import Pitch

_PIN = re.compile(r"\s*(\d+)(?:\.(\d+(?:\.\d+|/0*[1-9]\d*)?))?\s+(.+?)\s*=\s*(\S+)\s*")
_REGISTER = re.compile(r"\s*(?:(\d+)\s+)?(.+?)\s*=\s*([A-Ga-g][^-]*-?\d+)\s*-\s*(\S+)\s*")
_RANGE = re.compile(r"\s*([A-Ga-g][^-]*-?\d+)\s*-\s*(\S+)\s*")


@dataclass(frozen=True, slots=True)
class Pin:
    """This pitch in this voice, at the chord number `slot` (from 0)."""

    slot: int
    voice: int
    pitch: Pitch


@dataclass(frozen=True, slots=True)
class RegisterChange:
    """A voice's register from a bar on."""

    bar: int
    voice: int
    low: Pitch
    high: Pitch


def parse_pin(text: str, progression: Progression, ensemble: Ensemble) -> Pin:
    """Read ``BAR.BEAT VOICE=PITCH``, such as ``3.1 Soprano=F#4`` or ``2.2.5 Alto=D4``.

    Raises HarmonyError for another form, a bar or beat without a chord, a voice
    the ensemble lacks, or a pitch that cannot be read.
    """
    match = _PIN.fullmatch(text)
    if match is None:
        raise HarmonyError(
            f"{text!r} is not a pin; write BAR.BEAT VOICE=PITCH, such as"
            f' "2.1 {ensemble.voices[0].name}=D5".',
            where=text,
        )
    bar, beat = int(match[1]), Fraction(match[2] or 1)
    return Pin(
        find_slot(progression, bar, beat),
        ensemble.voice_index(match[3]),
        Pitch.from_text(match[4]),
    )


def find_slot(progression: Progression, bar: int, beat: Fraction) -> int:
    """The number of the chord that sounds at a beat of a bar.

    Raises HarmonyError where none does.
    """
    offset = progression.meters.offset(bar, beat)
    for number, slot in enumerate(progression.slots):
        if slot.onset <= offset < slot.onset + slot.duration and slot.chord is not None:
            return number
    last = progression.slots[-1]
    where = say_place(bar, beat)
    raise HarmonyError(
        f"No chord sounds at {where}; the progression runs from {progression.slots[0].place} to"
        f" {last.place}.",
        where=where,
    )


def read_pins(
    pins: Iterable[str | Pin], progression: Progression, ensemble: Ensemble
) -> tuple[Pin, ...]:
    """Read pins, and check that no two of them contradict each other."""
    read = [p if isinstance(p, Pin) else parse_pin(p, progression, ensemble) for p in pins]
    seen: dict[tuple[int, int], Pin] = {}
    for pin in read:
        other = seen.setdefault((pin.slot, pin.voice), pin)
        if other.pitch.midi != pin.pitch.midi:
            place = progression.slots[pin.slot].place
            voice = ensemble.voices[pin.voice].name
            raise HarmonyError(
                f"{voice} is pinned to both {other.pitch} and {pin.pitch} at {place};"
                " keep one of them.",
                where=place,
            )
    return tuple(read)


def parse_range(text: str | tuple[Pitch, Pitch]) -> tuple[Pitch, Pitch]:
    """Read ``LOW-HIGH``, such as ``C4-E5``; a pair of pitches is given back."""
    if not isinstance(text, str):
        return text
    match = _RANGE.fullmatch(text)
    if match is None:
        raise HarmonyError(
            f"{text!r} is not a register; write LOW-HIGH, such as C4-E5.", where=text
        )
    return Pitch.from_text(match[1]), Pitch.from_text(match[2])


def read_registers(
    registers: Mapping[str, str | tuple[Pitch, Pitch]] | Iterable[str] | None,
    ensemble: Ensemble,
) -> tuple[RegisterChange, ...]:
    """Read registers: a mapping of voice to ``LOW-HIGH``, or texts ``VOICE=LOW-HIGH``.

    A bar's number before the voice (``9 Tenor=C3-E4``) lets the register hold from
    that bar on.  Raises HarmonyError for other forms, unknown voices, and a register
    upside down.
    """
    if registers is None:
        return ()
    entries: list[tuple[int, str, str | tuple[Pitch, Pitch]]] = []
    if isinstance(registers, Mapping):
        for name, value in registers.items():
            numbered = re.fullmatch(r"\s*(\d+)\s+(.+)", name)
            entries.append((int(numbered[1]), numbered[2], value) if numbered else (0, name, value))
    else:
        for text in registers:
            match = _REGISTER.fullmatch(text)
            if match is None:
                example = f"{ensemble.voices[0].name}=C4-E5"
                raise HarmonyError(
                    f"{text!r} is not a register; write VOICE=LOW-HIGH, such as {example}.",
                    where=text,
                )
            entries.append((int(match[1] or 0), match[2], f"{match[3]}-{match[4]}"))
    changes = []
    for bar, name, value in entries:
        low, high = parse_range(value)
        voice = ensemble.voice_index(name)
        if low.midi > high.midi:
            raise HarmonyError(
                f"The register of {ensemble.voices[voice].name} is upside down: {low} lies"
                f" above {high}.",
                where=name,
            )
        changes.append(RegisterChange(bar, voice, low, high))
    return tuple(sorted(changes, key=lambda change: change.bar))

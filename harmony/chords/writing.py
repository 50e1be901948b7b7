"""Writing a progression out as text that reads back to the same progression."""

from __future__ import annotations

from fractions import Fraction

from harmony.chords.progression import Progression, Slot
from harmony.pitch.key import Key
from harmony.pitch.meter import Meter


def write_progression(progression: Progression) -> str:
    """Write every bar, with meters and keys where they change.

    A chord gets a beat mark unless the chords of its bar share it equally;
    a bar in which no chord enters stays empty, for the chord before sounds on.
    """
    meters = progression.meters
    by_bar: dict[int, list[Slot]] = {}
    for slot in progression:
        by_bar.setdefault(slot.bar, []).append(slot)
    last = max(progression.slots[-1].bar, *meters.bars_through(progression.end))
    first = 0 if meters.pickup else progression.slots[0].bar
    parts: list[str] = []
    meter: Meter | None = None
    key: Key | None = None
    for number in range(first, last + 1):
        slots = by_bar.get(number, [])
        words = []
        if number == first and (first != 1 or slots[0].beat > 1):
            words.append(f"m{first}")
        if meters.meter_at(number) != meter:
            meter = meters.meter_at(number)
            words.append(str(meter))
        inside, key = _write_bar(slots, meter, key)
        parts.append(" ".join(words + inside))
    # A last bar without a chord of its own needs a bar line to be seen.
    return " | ".join(parts) + ("" if last in by_bar else " |")


def _write_bar(slots: list[Slot], meter: Meter, key: Key | None) -> tuple[list[str], Key | None]:
    words: list[str] = []
    shared = _share_equally(slots, meter)
    for index, slot in enumerate(slots):
        if slot.key is not None and slot.key != key:
            key = slot.key
            words.append(f"{key}:")
        if not shared and (slot.beat != 1 or index):
            words.append(f"b{_write_beat(slot.beat)}")
        words.append(_write_chord(slot))
    return words, key


def _share_equally(slots: list[Slot], meter: Meter) -> bool:
    share = meter.bar_quarters / len(slots) if slots else Fraction(0)
    return all(
        meter.beat_to_quarters(slot.beat) == share * index for index, slot in enumerate(slots)
    )


def _write_beat(beat: Fraction) -> str:
    if beat.denominator in (1, 2, 4, 8):
        return f"{float(beat):g}"
    return f"{beat.numerator}/{beat.denominator}"


def _write_chord(slot: Slot) -> str:
    if slot.pedal is None:
        return slot.figure
    above = " above" if slot.pedal_above else ""
    return f"pedal {slot.pedal}{above} [ {slot.figure} ]"

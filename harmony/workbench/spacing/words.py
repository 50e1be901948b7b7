"""Figures of a sonority in a composer's words."""

from __future__ import annotations

from harmony.acoustics.rubbing import RoughPair
from harmony.pitch.spelling import Pitch
from harmony.workbench.words import write_pitch

#: Shares of the whole chord's roughness formula (see RoughPair.amount) from which a pair is
#: called so; the workbench's own, set from the figures of common dyads, not by listening.
_DEGREES = ((0.25, "very rough"), (0.10, "rough"), (0.04, "slightly rough"))
NEARLY_EQUAL = 0.05  # of a ratio of roughness
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def name_roughness(pair: RoughPair) -> str:
    """Say how rough a pair is; empty where it is too little to speak of."""
    return next((words for least, words in _DEGREES if pair.amount >= least), "")


def compare_roughness(roughness: float, other: float) -> str:
    """Say how rough something is beside something else: ``2.4 times as rough as``."""
    ratio = roughness / other if other else 1.0
    if abs(ratio - 1.0) < NEARLY_EQUAL:
        return "about as rough as"
    return f"{ratio:.1f} times as rough as" if ratio > 1.0 else f"{write_share(ratio)} as rough as"


def tell_deviation(cents: float) -> str:
    """Say by how much a note lies off its partial: ``14 cents high``."""
    rounded = round(cents)
    if rounded == 0:
        return "on it"
    plural = "" if abs(rounded) == 1 else "s"
    return f"{abs(rounded)} cent{plural} {'high' if rounded > 0 else 'low'}"


def write_share(share: float) -> str:
    """Write a share of one as a percentage."""
    return f"{100 * share:.0f} %"


def write_figure(value: float) -> str:
    """Write a figure of roughness or harmonicity to three significant digits."""
    return f"{value:.3f}" if value < 1 else f"{value:.2f}"


def write_change(value: float) -> str:
    """Write a change with its sign, or that there is none."""
    if abs(value) < 0.0005:
        return "no change"
    return f"{'+' if value > 0 else chr(0x2212)}{write_figure(abs(value))}"


def list_words(words: list[str]) -> str:
    """Join words: ``a, b and c``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def list_pitches(pitches: tuple[Pitch, ...]) -> str:
    """Write pitches in a row: ``C2 G2 E3``."""
    return " ".join(write_pitch(pitch) for pitch in pitches)


def count_words(count: int, one: str, many: str) -> str:
    """Write a count in words up to ten: ``one note``, ``12 notes``."""
    number = _NUMBERS[count] if count < len(_NUMBERS) else str(count)
    return f"{number} {one if count == 1 else many}"


def write_numbers(numbers: tuple[int, ...]) -> str:
    """Write whole numbers with runs drawn together: ``4, 6, 7, 9 to 11``."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs
    )

"""From choices to music: the text read, the problem prepared once, the answers found."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from harmony.chords.api import parse
from harmony.chords.progression import Slot
from harmony.errors import HarmonyError
from harmony.pitch.spelling import Pitch
from harmony.voicings.api import prepare
from harmony.voicings.problem import Problem
from harmony.voicings.realisation import Realisation
from harmony.workbench.progression.state import Choices, PinnedNote
from harmony.workbench.progression.weights import choices_to_weights

LETTERS = "ABCDE"
PREPARED_KEPT = 8
MOST_UNLIKE = 3  # chords in which an alternative differs from every other


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """What was found for some choices: the best, or the best and its alternatives, A first."""

    choices: Choices
    problem: Problem
    alternatives: tuple[Realisation, ...]

    @property
    def shown(self) -> Realisation:
        """The alternative whose letter is chosen."""
        place = LETTERS.index(self.choices.letter)
        return self.alternatives[min(place, len(self.alternatives) - 1)]

    @property
    def cheapest(self) -> float:
        """The cost of the best."""
        return self.alternatives[0].cost


@lru_cache(maxsize=PREPARED_KEPT)
def prepare_text(
    text: str, ensemble: str, registers: tuple[tuple[str, tuple[Pitch, Pitch]], ...] = ()
) -> Problem:
    """Read a text and prepare it for players in their registers; the last few are kept.

    Raises
    ------
    HarmonyError
        For an empty text or anything that cannot be read.
    """
    if not text.strip():
        raise HarmonyError(
            "The box is empty; write chords such as D: I V6 | ii65 V7 | I, or Dmaj7 | Em7 A7 | D."
        )
    return prepare(parse(text), ensemble, registers=dict(registers) or None)


def find_best(choices: Choices) -> Work:
    """Find the best voicing alone, as fast as a slider moves."""
    problem = prepare_text(choices.text, choices.ensemble, choices.registers)
    weights = choices_to_weights(choices, problem.preset)
    return Work(choices, problem, (problem.best(weights, pin_texts(choices)),))


def find_alternatives(choices: Choices) -> Work:
    """Find the best and up to four that differ from it and from each other."""
    problem = prepare_text(choices.text, choices.ensemble, choices.registers)
    weights = choices_to_weights(choices, problem.preset)
    sounding = sum(slot.chord is not None for slot in problem.progression)
    distance = max(1, min(MOST_UNLIKE, sounding // 3))
    found = problem.unlike(len(LETTERS), min(distance, sounding), weights, pin_texts(choices))
    return Work(choices, problem, found)


def find_prices(work: Work, slot: int, voice: int) -> dict[Pitch, float]:
    """Give what the whole would cost with each possible note pinned at a chord in a voice."""
    weights = choices_to_weights(work.choices, work.problem.preset)
    elsewhere = tuple(
        pin.text for pin in work.choices.pins if pin.place != note_place(work.problem, slot, voice)
    )
    prices = work.problem.prices(weights, elsewhere)[slot]
    return prices[voice] if prices else {}


def pin_texts(choices: Choices) -> tuple[str, ...]:
    """Give the pins as the engine reads them."""
    return tuple(pin.text for pin in choices.pins)


def note_place(problem: Problem, slot: int, voice: int) -> tuple[int, object, str]:
    """Give (bar, beat, voice's name) of a note of the score."""
    own = problem.progression.slots[slot]
    return own.bar, own.beat, problem.ensemble.voices[voice].name


def fitting_pins(choices: Choices) -> tuple[PinnedNote, ...]:
    """Give the pins that still mean something: their voice and a chord at their place exist.

    The pitch must be one of the chord's, in the register of the voice.
    """
    problem = prepare_text(choices.text, choices.ensemble, choices.registers)
    set_by_hand = dict(choices.registers)
    registers = {
        voice.name: set_by_hand.get(voice.name, (voice.low, voice.high))
        for voice in problem.ensemble.voices
    }
    slots: dict[tuple[int, object], Slot] = {
        (slot.bar, slot.beat): slot for slot in problem.progression
    }
    kept = []
    for pin in choices.pins:
        slot, register = slots.get((pin.bar, pin.beat)), registers.get(pin.voice)
        if slot is None or slot.chord is None or register is None:
            continue
        is_of_chord = pin.pitch.name in slot.chord.names
        low, high = register
        if is_of_chord and low.midi <= pin.pitch.midi <= high.midi:
            kept.append(pin)
    return tuple(kept)

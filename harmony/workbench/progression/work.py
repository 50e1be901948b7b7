"""From choices to music: the text read, the problem prepared once, the answers found."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache, partial

from harmony.chords.api import parse
from harmony.chords.progression import Slot
from harmony.errors import HarmonyError
from harmony.harmonising.easing import allow_enough
from harmony.instruments.catalogue import ensemble as find_ensemble
from harmony.pitch.line import Line
from harmony.pitch.spelling import Pitch
from harmony.search import Report
from harmony.voicings.api import prepare
from harmony.voicings.problem import Problem
from harmony.voicings.realisation import Realisation
from harmony.workbench.progression.state import Choices, PinnedNote
from harmony.workbench.progression.weights import choices_to_weights

LETTERS = "ABCDE"
PREPARED_KEPT = 8
MOST_EASED = 6  # voices: more are searched too long to see beforehand whether rules allow any
PRICES_KEPT = 8
MANY_VOICES = 6
MOST_UNLIKE = 3  # chords in which an alternative differs from every other


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """What was found for some choices: the best, or the best and its alternatives, A first.

    ``is_whole`` tells that alternatives were sought, ``is_cut_short`` that the search
    ended before it was done.
    """

    choices: Choices
    problem: Problem
    alternatives: tuple[Realisation, ...]
    is_whole: bool = False
    is_cut_short: bool = False

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
    text: str,
    ensemble: str,
    registers: tuple[tuple[str, tuple[Pitch, Pitch]], ...] = (),
    given: tuple[tuple[str, Line], ...] = (),
    manner: str = "",
    later: tuple[str, ...] = (),
    movement: tuple[tuple[str, tuple[str, ...]], ...] = (),
) -> Problem:
    """Read a text and prepare it for players in their registers; the last few are kept.

    A line given to a voice these players have not goes to their highest.

    Raises
    ------
    HarmonyError
        For an empty text or anything that cannot be read.
    """
    if not text.strip():
        raise HarmonyError(
            "The box is empty; write chords such as D: I V6 | ii65 V7 | I, or Dmaj7 | Em7 A7 | D."
        )
    players = find_ensemble(ensemble)
    known = {voice.name for voice in players.voices}
    lines = {name if name in known else players.voices[0].name: line for name, line in given}
    problem = prepare(
        parse(text),
        players,
        melody=lines or None,
        preset=manner or None,
        registers=_join_registers(registers, later),
        movement=dict(movement) or None,
    )
    # A tune may leave the chords no voicing by all the rules; what is let go is told.
    return allow_enough(problem) if lines and len(players) <= MOST_EASED else problem


def _join_registers(
    registers: tuple[tuple[str, tuple[Pitch, Pitch]], ...], later: tuple[str, ...]
) -> dict[str, str | tuple[Pitch, Pitch]]:
    """Give the registers of the whole and those from a bar on as the engine reads them."""
    joined: dict[str, str | tuple[Pitch, Pitch]] = dict(registers)
    for text in later:
        voice, _, span = text.partition("=")
        joined[voice.strip()] = span
    return joined


def prepare_choices(choices: Choices) -> Problem:
    """Prepare what is set at the desk."""
    return prepare_text(
        choices.text,
        choices.ensemble,
        choices.registers,
        choices.given,
        choices.manner,
        choices.later,
        choices.movement,
    )


def takes_long(choices: Choices) -> bool:
    """Tell whether to search beside the desk: for many voices, or very many chords.

    Raises
    ------
    HarmonyError
        If the text cannot be read, or a chord has no voicing.
    """
    problem = prepare_choices(choices)
    # Of five voices all voicings are listed in a moment, and only that tells how many there are.
    return len(problem.ensemble) >= MANY_VOICES or problem.is_large


def find_best(
    choices: Choices,
    report: Report | None = None,
    first: Callable[[Work], object] | None = None,
) -> Work:
    """Find the best voicing alone, as fast as a slider moves.

    A long search tells ``report`` how far it is, and gives ``first`` the good voicing it
    begins with.
    """
    problem = prepare_choices(choices)
    weights = choices_to_weights(choices, problem.preset)

    def tell(found: Realisation) -> None:
        if first is not None:
            first(Work(choices, problem, (found,)))

    best = problem.best(weights, pin_texts(choices), report=report, first=tell if first else None)
    return Work(choices, problem, (best,))


def find_alternatives(choices: Choices, report: Report | None = None) -> Work:
    """Find the best and up to four that differ from it and from each other."""
    problem = prepare_choices(choices)
    weights = choices_to_weights(choices, problem.preset)
    sounding = sum(slot.chord is not None for slot in problem.progression)
    distance = max(1, min(MOST_UNLIKE, sounding // 3))
    distance = min(distance, sounding)
    found = problem.unlike(len(LETTERS), distance, weights, pin_texts(choices), report=report)
    is_cut_short = found[0].outcome.status != "optimal"
    return Work(choices, problem, found, is_whole=True, is_cut_short=is_cut_short)


Prices = tuple[tuple[dict[Pitch, float], ...], ...]
_priced: OrderedDict[Hashable, Prices] = OrderedDict()  # the last few tables of prices


def find_prices(
    work: Work, slot: int, voice: int, report: Report | None = None
) -> dict[Pitch, float]:
    """Give what the whole would cost with each possible note pinned at a chord in a voice."""
    key = _price_key(work, slot, voice)
    if key not in _priced:
        weights, elsewhere = dict(key[1]), key[2]
        _priced[key] = work.problem.prices(weights, elsewhere, report=report)
        while len(_priced) > PRICES_KEPT:
            _priced.popitem(last=False)
    prices = _priced[key][slot]
    return prices[voice] if prices else {}


def are_prices_known(work: Work, slot: int, voice: int) -> bool:
    """Tell whether the prices of the notes of a voice at a chord are at hand."""
    return _price_key(work, slot, voice) in _priced


def _price_key(
    work: Work, slot: int, voice: int
) -> tuple[Problem, tuple[tuple[str, float], ...], tuple[str, ...]]:
    weights = choices_to_weights(work.choices, work.problem.preset)
    place = note_place(work.problem, slot, voice)
    elsewhere = tuple(note.text for note in work.choices.bound if note.place != place)
    return work.problem, tuple(weights.items()), elsewhere


def pin_texts(choices: Choices) -> tuple[str, ...]:
    """Give what is pinned and what is locked as the engine reads it."""
    return tuple(note.text for note in choices.bound)


def note_place(problem: Problem, slot: int, voice: int) -> tuple[int, Fraction, str]:
    """Give (bar, beat, voice's name) of a note of the score."""
    own = problem.progression.slots[slot]
    return own.bar, own.beat, problem.ensemble.voices[voice].name


def lift_what_is_gone(choices: Choices) -> Choices:
    """Give the choices with the pins and locks that still mean something.

    A pin needs its voice, and a chord at its place that has its pitch, in the
    register of the voice, unless that has a line of its own. A bar stays locked while all
    its notes do and are all there are.
    """
    problem = prepare_choices(choices)
    places = list_places(problem)
    fits = partial(
        _fits, choices, problem, {(slot.bar, slot.beat): slot for slot in problem.progression}
    )
    gone = {
        bar
        for bar in choices.locked
        if {note.place for note in choices.held if note.bar == bar} != places.get(bar)
    } | {note.bar for note in choices.held if not fits(note)}
    return replace(
        choices,
        pins=tuple(pin for pin in choices.pins if fits(pin)),
        held=tuple(note for note in choices.held if note.bar not in gone),
    )


def list_places(problem: Problem) -> dict[int, set[tuple[int, Fraction, str]]]:
    """Give (bar, beat, voice's name) of every note of the score, by bar."""
    places: dict[int, set[tuple[int, Fraction, str]]] = {}
    for slot in problem.progression:
        if slot.chord is not None:
            own = {(slot.bar, slot.beat, voice.name) for voice in problem.ensemble.voices}
            places.setdefault(slot.bar, set()).update(own)
    return places


def _fits(
    choices: Choices,
    problem: Problem,
    slots: Mapping[tuple[int, Fraction], Slot],
    pin: PinnedNote,
) -> bool:
    slot = slots.get((pin.bar, pin.beat))
    usual = {voice.name: (voice.low, voice.high) for voice in problem.ensemble.voices}
    if slot is None or slot.chord is None or pin.voice not in usual:
        return False
    if pin.voice in dict(choices.given):
        return True  # what its line has there may be foreign to the chord; the search compares
    low, high = dict(choices.registers).get(pin.voice, usual[pin.voice])
    return pin.pitch.name in slot.chord.names and low.midi <= pin.pitch.midi <= high.midi

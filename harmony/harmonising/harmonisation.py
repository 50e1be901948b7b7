"""Harmonisations: the chords found under a theme, what they cost, and their idea."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from harmony.chords.progression import Progression, Slot
from harmony.errors import HarmonyError
from harmony.harmonising.lines import THE_MELODY, Given
from harmony.harmonising.melody import Melody
from harmony.harmonising.spans import Span
from harmony.pitch.spelling import PitchName
from harmony.pitch.theme import Theme
from harmony.showing import Shown
from harmony.units import quarters_to_json

if TYPE_CHECKING:
    from harmony.harmonising.fixing import Fixed
    from harmony.scoring.score import Score


@dataclass(frozen=True, slots=True)
class Held:
    """A note of a pedal, held from ``start`` to ``end`` (quarters).

    ``place`` is where it lies: ``below`` the chords, ``inside`` or ``above`` them.
    """

    name: PitchName
    start: Fraction
    end: Fraction
    place: str = "below"

    def __post_init__(self) -> None:
        if self.end <= self.start:
            raise HarmonyError(f"The {self.name} held must have a length.")

    def to_json(self) -> dict[str, Any]:
        """Give the note as ``harmony harmonise --json`` prints it."""
        return {
            "pitch": str(self.name),
            "place": self.place,
            "offset": quarters_to_json(self.start),
            "duration": quarters_to_json(self.end - self.start),
        }


@dataclass(frozen=True, slots=True)
class Harmonisation:
    """One harmonisation of a theme.

    ``slot_terms`` has one mapping of weighted costs for each slot of the
    progression; they add up to ``cost``. ``name`` and ``idea`` say what it is
    about. ``status`` is ``optimal``: of all ways through the idiom's chords none
    serves the idea at less cost, what repeats bound and earlier alternatives kept away
    from as the search was told. ``best_bar`` and ``weakest_bar`` are bar numbers.
    ``spans`` is the harmonic rhythm it was found in, ``own_chords`` the composer's list
    where its idiom is ``own``; both may be empty. ``held`` are the notes of its pedals,
    two at once for a double one; the chords are read without them. ``asked`` and ``strand``
    name the idea it follows and the pedal or figure it is laid on, to be asked for again.
    ``counter_melody`` is one written to the tune under these chords, where it was asked for.
    """

    theme: Theme
    progression: Progression
    idiom: str
    name: str
    idea: str
    slot_terms: tuple[Mapping[str, float], ...]
    status: str = "optimal"
    spans: tuple[Span, ...] = ()
    own_chords: tuple[str, ...] = ()
    held: tuple[Held, ...] = ()
    asked: str = ""
    strand: str = ""
    counter_melody: Theme | None = None

    def __post_init__(self) -> None:
        if len(self.slot_terms) != len(self.progression):
            raise HarmonyError("A harmonisation needs the costs of every chord.")

    @property
    def idiom_text(self) -> str:
        """The idiom as it was asked for."""
        return f"own: {' '.join(self.own_chords)}" if self.idiom == "own" else self.idiom

    @property
    def terms(self) -> dict[str, float]:
        """Weighted cost by term."""
        total: dict[str, float] = {}
        for terms in self.slot_terms:
            for name, value in terms.items():
                total[name] = total.get(name, 0.0) + value
        return total

    @property
    def cost(self) -> float:
        """The sum of all terms."""
        return sum(self.terms.values())

    @property
    def bar_costs(self) -> dict[int, float]:
        """What each bar costs for each quarter of it, by bar number."""
        meters = self.theme.meters
        totals: dict[int, float] = {}
        lengths: dict[int, float] = {}
        for slot, terms in zip(self.progression, self.slot_terms, strict=True):
            bar = meters.locate(slot.onset)[0]
            totals[bar] = totals.get(bar, 0.0) + sum(terms.values())
            lengths[bar] = lengths.get(bar, 0.0) + float(slot.duration)
        return {bar: totals[bar] / lengths[bar] for bar in totals}

    @property
    def best_bar(self) -> int:
        """The bar that costs least for its length, the close apart where there is another."""
        costs = self.bar_costs
        if len(costs) > 1:
            del costs[max(costs)]
        return min(costs, key=lambda bar: (costs[bar], bar))

    @property
    def weakest_bar(self) -> int:
        """The bar that costs most for its length."""
        costs = self.bar_costs
        return max(costs, key=lambda bar: (costs[bar], -bar))

    def held_at(self, time: Fraction) -> tuple[Held, ...]:
        """The notes of pedals that sound at a time."""
        return tuple(one for one in self.held if one.start <= time < one.end)

    def with_held(self, held: Sequence[Held]) -> Harmonisation:
        """Give the same chords with these notes held through them, and no others.

        A chord is written over or under the first note held below or above it; one held
        inside is written with neither.
        """
        slots = []
        for slot in self.progression:
            outer = [
                one
                for one in held
                if one.start <= slot.onset < one.end and one.place in ("below", "above")
            ]
            pedal, above = (outer[0].name, outer[0].place == "above") if outer else (None, False)
            slots.append(replace(slot, pedal=pedal, pedal_above=above))
        progression = replace(self.progression, slots=tuple(slots))
        return replace(self, progression=progression, held=tuple(held))

    def sounding_in(self, slot: Slot) -> tuple[str, ...]:
        """What sounds with a chord of the progression, pedals among it, bass first."""
        names = list(slot.sounding)
        for one in self.held_at(slot.onset):
            if str(one.name) not in names:
                # A second note below stands on the first; one inside over the bass.
                names.insert(len(names) if one.place == "above" else 1, str(one.name))
        return tuple(names)

    def to_json(self) -> dict[str, Any]:
        """Give one alternative as ``harmony harmonise --json`` prints it."""
        told = {
            "name": self.name,
            "idea": self.idea,
            "idiom": self.idiom,
            "cost": self.cost,
            "terms": self.terms,
            "status": self.status,
            "best_bar": self.best_bar,
            "weakest_bar": self.weakest_bar,
            "held": [one.to_json() for one in self.held],
            "chords": [
                {
                    "offset": quarters_to_json(slot.onset),
                    "duration": quarters_to_json(slot.duration),
                    "root": None if slot.chord is None else slot.chord.root.pitch_class,
                    "quality": None if slot.chord is None else slot.chord.quality.name,
                    "bass": None if slot.bass is None else slot.bass.pitch_class,
                    "figure": slot.figure,
                    "key": None if slot.key is None else str(slot.key),
                    "pitches": list(self.sounding_in(slot)),
                    "terms": dict(terms),
                }
                for slot, terms in zip(self.progression, self.slot_terms, strict=True)
            ],
        }
        if self.counter_melody is not None:
            told["counter_melody"] = [
                {
                    "offset": quarters_to_json(note.onset),
                    "duration": quarters_to_json(note.duration),
                    "pitch": str(note.pitch),
                }
                for note in self.counter_melody.line.sounding
            ]
        return told


@dataclass(frozen=True, slots=True)
class Harmonisations(Shown):
    """Several harmonisations of one theme, best first, and the analysis behind them.

    ``fixed`` are the chords held to and ``weights`` the weights asked for, so that more
    can be asked of the same question (see :mod:`harmony.harmonising.again`). ``notices``
    say in a sentence each what of the score was left out to have a tune; ``given`` says
    which voice the theme is, ``is_keyless`` that the composer hears no key in it.
    """

    melody: Melody
    spans: tuple[Span, ...]
    alternatives: tuple[Harmonisation, ...]
    fixed: tuple[Fixed, ...] = ()
    weights: Mapping[str, float] | None = None
    notices: tuple[str, ...] = ()
    given: Given = THE_MELODY
    is_keyless: bool = False

    @property
    def theme(self) -> Theme:
        """The theme."""
        return self.melody.theme

    def alternative(self, number: int = 1) -> Harmonisation:
        """Give an alternative, counted from 1."""
        if not 1 <= number <= len(self.alternatives):
            raise HarmonyError(
                f"There is no alternative {number}; there are {len(self.alternatives)},"
                " counted from 1."
            )
        return self.alternatives[number - 1]

    def to_json(self) -> dict[str, Any]:
        """Give what ``harmony harmonise --json`` prints."""
        melody = self.melody
        return {
            "key": None if self.is_keyless else str(melody.key),
            "runner_up": None
            if melody.runner_up is None or self.is_keyless
            else str(melody.runner_up),
            "notices": list(self.notices),
            "phrase_ends": [quarters_to_json(phrase.end) for phrase in melody.phrases],
            "alternatives": [one.to_json() for one in self.alternatives],
        }

    def to_rows(self, alternative: int = 1) -> list[dict[str, Any]]:
        """Give one row a chord: place, figure, names, cost and costs by term."""
        one = self.alternative(alternative)
        return [
            {**slot.to_json(), "pitches": " ".join(slot.sounding), "cost": sum(terms.values())}
            | dict(terms)
            for slot, terms in zip(one.progression, one.slot_terms, strict=True)
        ]

    def to_score(self, alternative: int = 1) -> Score:
        """Give the tune with block chords, with the chords' names (see ``harmonising.score``)."""
        from harmony.harmonising.score import harmonisation_to_score

        return harmonisation_to_score(self.alternative(alternative), self.given)

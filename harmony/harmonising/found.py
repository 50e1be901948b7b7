"""Ways found through a chain, and how they become harmonisations: spelled, told, priced."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from harmony.chords.progression import Progression, Slot
from harmony.harmonising.chain import Chain
from harmony.harmonising.costs import same_chord
from harmony.harmonising.harmonisation import Harmonisation, Held
from harmony.harmonising.ideas import PLAIN, Idea
from harmony.harmonising.pedals import name_bars
from harmony.harmonising.regions import read_regions
from harmony.harmonising.returns import return_price, returns_at
from harmony.harmonising.spelling import name_near, spell_entry
from harmony.harmonising.strands import ABOVE, BELOW, FREE, Strand
from harmony.harmonising.vocabulary import Entry
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName


@dataclass(frozen=True, slots=True)
class Found:
    """A way through a chain, what it is about and the idea it follows.

    ``regions`` has the key region of every span where it was searched for, as places
    in the chain's regions. ``course`` is what a voice does in it: the first and the last
    span, and its first and last note above the tonic.
    """

    chain: Chain
    path: tuple[int, ...]
    name: str
    sentence: str
    idea: Idea = PLAIN
    strand: Strand | None = None
    regions: tuple[int, ...] | None = None
    course: tuple[int, int, int, int] | None = None

    @property
    def roots(self) -> NDArray[np.intp]:
        """The root of every span above C."""
        tonic = self.chain.vocabulary.key.tonic.pitch_class
        return (self.chain.vocabulary.roots[list(self.path)] + tonic) % 12


def difference(one: Found, other: Found) -> float:
    """The share of the melody's length under which two alternatives have different roots."""
    lengths = np.array([float(span.duration) for span in one.chain.spans])
    return float((lengths * (one.roots != other.roots)).sum() / lengths.sum())


def to_harmonisation(found: Found, *, join_same: bool = True) -> Harmonisation:
    """Spell a way through the chain as chords in their keys; equal neighbours are joined."""
    chain, vocabulary = found.chain, found.chain.vocabulary
    key = vocabulary.key
    entries = [vocabulary.entries[choice] for choice in found.path]
    tonic = key.tonic.pitch_class
    if chain.regions is not None and found.regions is not None:
        regions = [chain.regions.keys[region] for region in found.regions]
    else:
        regions = read_regions(
            [(e.root + tonic) % 12 for e in entries],
            [[(e.root + t + tonic) % 12 for t in e.tones] for e in entries],
            key,
        )
    # A tune that closes on its tonic closes at home, wherever it has been.
    for place in reversed(range(len(regions))):
        if entries[place].root or entries[place].quality != entries[-1].quality:
            break
        regions[place] = key
    slots: list[Slot] = []
    terms: list[dict[str, float]] = []
    alike = same_chord(vocabulary)
    figures = str(vocabulary.idiom.table.get("figures_as", "numerals"))
    weighed = _list_terms(found)
    for place, (span, entry, region) in enumerate(zip(chain.spans, entries, regions, strict=True)):
        costs = weighed[place]
        pedal, above = _pedal_at(found, place)
        before = found.path[place - 1] if place else -1
        if (
            place and join_same and alike[before, found.path[place]]
            and entries[place - 1].bass == entry.bass and slots[-1].key == region
            and slots[-1].pedal == pedal
        ):  # fmt: skip
            slots[-1] = replace(slots[-1], duration=slots[-1].duration + span.duration)
            for name, value in costs.items():
                terms[-1][name] += value
            continue
        tune = tuple(
            dict.fromkeys(one.note.pitch.name for one in chain.heard[place] if one.note.pitch)
        )
        chord = spell_entry(_moved(entry, key, region), region, tune, figures)
        bar, beat = chain.melody.theme.meters.locate(span.onset)
        slots.append(Slot(bar, beat, span.onset, span.duration, region, chord, pedal=pedal,
                          pedal_above=above))  # fmt: skip
        terms.append(costs)
    slots[-1] = _name_close(slots[-1])
    return Harmonisation(
        chain.melody.theme,
        Progression(tuple(slots), chain.melody.theme.meters),
        vocabulary.idiom.name,
        found.name,
        found.sentence + _tell_course(found, slots),
        tuple(terms),
        spans=chain.spans,
        own_chords=vocabulary.idiom.own_chords,
        held=_held(found),
        asked=found.idea.name,
        strand="" if found.strand is None else found.strand.name,
    )


def _name_close(slot: Slot) -> Slot:
    """Call a major tonic that closes in minor I, not the dominant of a chord that never comes."""
    chord, key = slot.chord, slot.key
    if chord is None or key is None or chord.figure != "V/iv" or chord.root != key.tonic:
        return slot
    return replace(slot, chord=replace(chord, figure="I"))


def _moved(entry: Entry, key: Key, region: Key) -> Entry:
    shift = (key.tonic.pitch_class - region.tonic.pitch_class) % 12
    return replace(entry, root=(entry.root + shift) % 12, bass=(entry.bass + shift) % 12)


def _pedal_at(found: Found, place: int) -> tuple[PitchName | None, bool]:
    """The note of a pedal that a chord is written over or under, and whether it lies above.

    Of two held below it is the first; a note held inside is written with neither.
    """
    if found.strand is None or found.strand.is_figure:
        return None, False
    for line in found.strand.lines:
        if line.notes[place] != FREE and line.place in (BELOW, ABOVE):
            name = _name_held(line.notes[place], found.chain.vocabulary.key)
            return name, line.place == ABOVE
    return None, False


def _name_held(note: int, key: Key) -> PitchName:
    return name_near((key.tonic.pitch_class + note) % 12, key)


def _held(found: Found) -> tuple[Held, ...]:
    """Every note of a pedal, or of a figure inside the chords, with its start and its end."""
    if found.strand is None:
        return ()
    spans, key = found.chain.spans, found.chain.vocabulary.key
    return tuple(
        Held(_name_held(note, key), spans[first].onset, spans[last].end, line.place)
        for line in found.strand.lines
        if not (found.strand.is_figure and line.place == BELOW)
        for note, first, last in line.stretches()
    )


def _tell_course(found: Found, slots: Sequence[Slot]) -> str:
    """From which note to which a voice runs its course, spelled as the chords are, and where."""
    if found.course is None:
        return ""
    first, last, *notes = found.course
    key = found.chain.vocabulary.key
    names = []
    for place, note in zip((first, last), notes, strict=True):
        onset = found.chain.spans[place].onset
        slot = next(slot for slot in reversed(slots) if slot.onset <= onset)
        pc = (key.tonic.pitch_class + note) % 12
        assert slot.chord is not None
        inside = (slot.chord.bass, *slot.chord.names, name_near(pc, key))
        names.append(min((n for n in inside if n.pitch_class == pc), key=_awkwardness))
    meters = found.chain.melody.theme.meters
    bars = [meters.locate(found.chain.spans[place].onset)[0] for place in (first, last)]
    begins, ends = (name_bars(bar, bar) for bar in bars)
    return f", from {names[0]} {begins} to {names[1]} {ends}"


def _awkwardness(name: PitchName) -> tuple[bool, int]:
    """How unusual a name is: E sharp, B sharp, C flat and F flat, then accidentals."""
    natural = {("E", 1), ("B", 1), ("C", -1), ("F", -1)}
    return (name.letter, name.alter) in natural, abs(name.alter) if abs(name.alter) > 1 else 0


def _list_terms(found: Found) -> list[dict[str, float]]:
    """The weighted costs of each span on a way, without what the idea adds."""
    chain, path = found.chain, found.path
    price = return_price(chain)
    returns = returns_at(chain.vocabulary, path)
    listed = []
    for place, choice in enumerate(path):
        costs = {
            name: chain.weights[name] * float(table[place, choice])
            for name, table in chain.nodes.items()
        }
        for name, rows in chain.steps.items():
            step = float(rows[place - 1][path[place - 1], choice]) if place else 0.0
            costs[name] = costs.get(name, 0.0) + chain.weights[name] * step
        if price:
            costs["syntax"] += price * returns[place]
        if chain.regions is not None and found.regions is not None:
            leaning = chain.regions.cost_at(path, found.regions, place)
            costs["key_distance"] += chain.weights["key_distance"] * leaning
        listed.append(costs)
    return listed

"""What there is to say about a sonority, in a composer's sentences."""

from __future__ import annotations

from dataclasses import dataclass

from harmony.acoustics.crowding import count_crowded
from harmony.pitch.spelling import PitchName
from harmony.workbench.spacing.hearing import Heard, measure_packed, pack_close
from harmony.workbench.spacing.words import (
    compare_roughness,
    count_words,
    list_pitches,
    list_words,
    name_roughness,
    tell_deviation,
    write_figure,
    write_numbers,
    write_share,
)
from harmony.workbench.words import write_beat, write_pitch, write_signs

MOST_FINDINGS = 3
MOST_PAIRS = 3
NO_LEAD = 0.02  # of support: two fundamentals this near explain as much
DEFERENCE = (
    "A finding, never a ban: the players, their instruments and the room have the last word."
)


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing to know: its heading, its sentence, and whether it wants a warning sign."""

    heading: str
    sentence: str
    is_warning: bool = False

    def to_dict(self) -> dict[str, object]:
        """Give what the screen needs."""
        return {"heading": self.heading, "sentence": self.sentence, "warning": self.is_warning}


def name_chord(heard: Heard) -> str:
    """Name the chord and where it stands: ``Bar 3, beat 1: V7, A3 C♯4 E4 G4``."""
    slot = heard.slot
    return f"Bar {slot.bar}, beat {write_beat(slot.beat)}: {_figure(heard)}"


def _figure(heard: Heard) -> str:
    # a sonority of the composer's own is its notes already
    if heard.slot.figure.startswith("{"):
        return list_pitches(heard.pitches)
    return f"{write_signs(heard.slot.figure)}, {list_pitches(heard.pitches)}"


def tell_facts(heard: Heard) -> tuple[Fact, ...]:
    """Tell what was found about a chord, what the ear meets first first."""
    facts = [
        Fact("Acoustic fundamental", _tell_fundamental(heard)),
        Fact("Theoretical root", _tell_root(heard)),
        Fact("Partials", _tell_partials(heard)),
        Fact("Roughness", _tell_roughness(heard)),
        Fact("Fusion", _tell_fusion(heard)),
        Fact("Spread", _tell_spread(heard)),
        *_tell_crowding(heard),
    ]
    if heard.shared:
        facts.append(Fact("Doubled", _tell_shared(heard)))
    return tuple(facts)


def _tell_fundamental(heard: Heard) -> str:
    found = heard.found
    share = write_share(found.support)
    told = (
        f"{write_pitch(found.fundamental)}, {found.fundamental_hz:.1f} Hz, explains {share} of what"
        f" {count_words(len(heard.pitches), 'note', 'notes')} can have in common"
    )
    if found.runner_up.midi == found.fundamental.midi:
        return f"{told}."
    runner_up = f"{write_pitch(found.runner_up)} with {write_share(found.runner_up_support)}"
    if abs(found.runner_up_support - found.support) < NO_LEAD:
        return f"{told}; so does {runner_up}: the notes point to no single fundamental."
    place = "next comes" if found.runner_up_support <= found.support else "better would be"
    return f"{told}; {place} {runner_up}."


def _tell_root(heard: Heard) -> str:
    is_own = heard.slot.figure.startswith("{")
    source = "read from the names of the notes" if is_own else "from the chord's name"
    return f"{_write_name(heard.found.root)}, {source}."


def _tell_partials(heard: Heard) -> str:
    found = heard.found
    off = max(found.placed, key=lambda one: abs(one.deviation_cents) if one.is_in_series else 0.0)
    told = []
    if found.skipped:
        verb = "is" if len(found.skipped) == 1 else "are"
        told.append(f"skipped {verb} {write_numbers(found.skipped)}")
    else:
        told.append("none is skipped")
    if off.is_in_series and round(off.deviation_cents):
        told.append(
            f"farthest off is {write_pitch(off.pitch)}, {tell_deviation(off.deviation_cents)}"
            f" against partial {off.partial}"
        )
    outside = [write_pitch(one.pitch) for one in found.placed if not one.is_in_series]
    if outside:
        verb = "lies" if len(outside) == 1 else "lie"
        told.append(f"{list_words(outside)} {verb} outside the series")
    sentence = "; ".join(told)
    return f"{sentence[0].upper()}{sentence[1:]}."


def _tell_roughness(heard: Heard) -> str:
    found, measures = heard.found, heard.found.measures.roughness
    bass, packed = write_pitch(heard.pitches[0]), measure_packed(heard)
    midi = [pitch.midi for pitch in heard.pitches]
    if list(pack_close(midi)) == midi:
        beside = f"the notes lie as close above {bass} as they can"
    else:
        compared = compare_roughness(found.roughness, packed)
        beside = f"{compared} the same notes close above {bass} ({write_figure(packed)})"
    rough = [pair for pair in found.rough_pairs if name_roughness(pair)][:MOST_PAIRS]
    pairs = [
        f"{write_pitch(pair.lower)}\u2013{write_pitch(pair.upper)} ({name_roughness(pair)},"
        f" {write_share(pair.share)} of all)"
        for pair in rough
    ]
    where = f"Most in {list_words(pairs)}" if pairs else "No pair of notes rubs to speak of"
    return (
        f"{write_figure(found.roughness)} after Hutchinson and Knopoff for these players, mezzo"
        f" forte: {beside}. {where}. Sethares has {write_figure(float(measures.sethares[0]))},"
        f" Vassilakis {write_figure(float(measures.vassilakis[0]))}, each on a scale of its own."
    )


def _tell_fusion(heard: Heard) -> str:
    measures = heard.found.measures
    return (
        f"Harmonicity {write_figure(heard.found.harmonicity)} of 1 after Stolzenburg; ambiguity of"
        f" the root {float(measures.parncutt_ambiguity[0]):.1f} after Parncutt, where 1 is one"
        " clear root."
    )


def _tell_spread(heard: Heard) -> str:
    profile = float(heard.found.measures.gap_profile[0])
    crowded = count_crowded([pitch.midi for pitch in heard.pitches])
    if profile == 0:
        told = "No distance is wider than the one below it, as in the series"
    else:
        told = f"Distances widen upward by {write_share(profile)} of the whole span"
    if not crowded:
        return f"{told}; no neighbours are nearer than a critical band."
    pairs = count_words(crowded, "pair", "pairs")
    verb = "is" if crowded == 1 else "are"
    return f"{told}; {pairs} of neighbours {verb} nearer than a critical band."


def _tell_crowding(heard: Heard) -> list[Fact]:
    lows = heard.found.low_intervals
    if not lows:
        return [Fact("Low intervals", "None lies lower than usual for its size.")]
    told = [write_signs(one.message) for one in lows[:MOST_FINDINGS]]
    if len(lows) > MOST_FINDINGS:
        rest = len(lows) - MOST_FINDINGS
        verb = "does" if rest == 1 else "do"
        told.append(f"So {verb} {count_words(rest, 'other pair', 'other pairs')}.")
    return [Fact("Low intervals", " ".join([*told, DEFERENCE]), is_warning=True)]


def _tell_shared(heard: Heard) -> str:
    told = [f"{write_pitch(pitch)} is {list_words(list(names))}" for pitch, names in heard.shared]
    return f"{'; '.join(told)}; each is measured as one note."


def _write_name(name: PitchName) -> str:
    return write_signs(str(name))

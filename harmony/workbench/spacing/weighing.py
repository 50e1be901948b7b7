"""The same chord by other players, and what one doubling adds: told, nothing changed."""

from __future__ import annotations

from collections.abc import Sequence

from harmony.acoustics.doubling import add_doubling
from harmony.acoustics.spacing import Spacing
from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble
from harmony.instruments.timbre import Comparison, hear
from harmony.pitch.interval import Interval
from harmony.pitch.spelling import Pitch
from harmony.workbench.spacing.hearing import DYNAMIC, Heard
from harmony.workbench.spacing.words import (
    NEARLY_EQUAL,
    list_words,
    name_roughness,
    write_change,
    write_figure,
    write_numbers,
    write_share,
)
from harmony.workbench.words import write_pitch

_OCTAVE, _TWELFTH, _FIFTEENTH = (Interval.from_text(text) for text in ("P8", "P12", "P15"))
#: Where a doubling can be added, in words.
DOUBLINGS = {
    "an octave above": _OCTAVE,
    "an octave below": -_OCTAVE,
    "a twelfth above": _TWELFTH,
    "two octaves above": _FIFTEENTH,
}


def tell_comparison(heard: Heard, first: Ensemble, second: Ensemble) -> str:
    """Say how the same chord sounds played by a second ensemble instead of the first."""
    # The first as they are voiced, so that the figure is the one of the facts.
    other = hear(heard.pitches, second, DYNAMIC)
    compared = Comparison(first.name, second.name, heard.found, other)
    ratio = compared.roughness_ratio
    if abs(ratio - 1.0) < NEARLY_EQUAL:
        verdict = "as rough"
    elif ratio > 1.0:
        verdict = f"{ratio:.1f} times as rough"
    else:
        verdict = f"smoother, {write_share(ratio)} as rough"
    told = (
        f"By {second.name} instead of {first.name} the chord is {verdict}:"
        f" {write_figure(compared.second.roughness)} against"
        f" {write_figure(compared.first.roughness)}, both mezzo forte; the roughest pair is"
        f" {_roughest(compared.second)}, with {first.name} {_roughest(compared.first)}."
    )
    outside = [
        write_pitch(pitch)
        for pitch in heard.pitches
        if not any(v.low.midi <= pitch.midi <= v.high.midi for v in second.voices)
    ]
    if outside:
        verb = "lies" if len(outside) == 1 else "lie"
        told += f" {list_words(outside)} {verb} outside every register of {second.name}."
    return told


def tell_doubling(heard: Heard, doubled: str, where: str) -> str:
    """Say what a doubling of one of the chord's notes would add.

    Raises
    ------
    HarmonyError
        If there is no such note, no such place, or the added note sounds already.
    """
    place = next(
        (n for n, pitch in enumerate(heard.pitches) if write_pitch(pitch) == doubled), None
    )
    if place is None or where not in DOUBLINGS:
        notes = list_words([write_pitch(pitch) for pitch in heard.pitches])
        raise HarmonyError(f"There is no {doubled} in the chord to double; accepted are {notes}.")
    own = heard.pitches[place]
    found = add_doubling(
        heard.pitches,
        own,
        DOUBLINGS[where],
        spectra=heard.spectra,
        added_spectrum=heard.spectra[place],
    )
    told = (
        f"{write_pitch(own)} doubled {where}, by the same players, adds {write_pitch(found.added)}:"
        f" roughness {write_figure(found.after.roughness)}, {_change(found.roughness_change)};"
    )
    base, now = found.before.fundamental, found.after.fundamental
    if found.moves_fundamental:
        told += f" the ear is led from {write_pitch(base)} to {write_pitch(now)};"
    else:
        told += f" the fundamental stays {write_pitch(base)};"
    return f"{told} {_strengthened(own, found.strengthened)}."


def _change(value: float) -> str:
    change = write_change(value)
    return "no change" if change == "no change" else f"a change of {change}"


def _strengthened(own: Pitch, partials: Sequence[int]) -> str:
    if not partials:
        return f"no partial of {write_pitch(own)} is strengthened"
    numbers = write_numbers(tuple(partials))
    return f"partials {numbers} of {write_pitch(own)} are strengthened"


def _roughest(found: Spacing) -> str:
    pair = found.rough_pairs[0]
    words = name_roughness(pair) or "smooth"
    return f"{write_pitch(pair.lower)}\u2013{write_pitch(pair.upper)} ({words})"

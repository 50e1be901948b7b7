"""What the harmonising desk says: costs, measures, ideas and places in a composer's words."""

from __future__ import annotations

from fractions import Fraction

from harmony.harmonising.compare import measure, root_difference
from harmony.harmonising.harmonisation import Harmonisation
from harmony.harmonising.lines import BASS, BOTH, INNER, MELODY
from harmony.harmonising.pedals import name_bars
from harmony.harmonising.register import LIES_IN, say_octaves
from harmony.pitch import Theme
from harmony.pitch.keyfinding import fits_a_scale
from harmony.workbench.harmonising.grid import say_key
from harmony.workbench.harmonising.state import Repeat
from harmony.workbench.harmonising.tune import say_losses
from harmony.workbench.harmonising.work import LETTERS, Work
from harmony.workbench.scores import open_source
from harmony.workbench.words import write_beat, write_cost, write_signs

_TERMS = {
    "melody_fit": "notes of the tune outside the chord",
    "likelihood": "rare after what comes before it, under this tune",
    "syntax": "how the chord follows the one before",
    "cadence": "how the phrase closes",
    "harmonic_rhythm": "when the chord changes",
    "bass_line": "the line of the bass",
    "outer_voices": "the bass against the tune",
    "key_distance": "far from the key",
}
_READ_AS = {
    MELODY: "In", BASS: "The bass, in", INNER: "The inner voice, in", BOTH: "Tune and bass, in"
}  # fmt: skip
_LEAST = 0.05  # a cost smaller than this is not told


def say_term(name: str) -> str:
    """Give a term's words."""
    return _TERMS.get(name, name.replace("_", " "))


def say_bars(bars: frozenset[int]) -> str:
    """List bars: ``bars 1, 3 and 4``.

    >>> say_bars(frozenset({4, 1, 3}))
    'bars 1, 3 and 4'
    """
    names = [str(bar) for bar in sorted(bars)]
    if len(names) == 1:
        return f"bar {names[0]}"
    return f"bars {', '.join(names[:-1])} and {names[-1]}"


def say_place(theme: Theme, onset: Fraction) -> str:
    """Name a time: ``bar 3, beat 2``; before bar 1 it is the pickup."""
    bar, beat = theme.meters.locate(onset)
    if bar == 0:
        return f"the pickup, beat {write_beat(beat)}"
    return f"bar {bar}, beat {write_beat(beat)}"


def say_repeat(theme: Theme, one: Repeat) -> str:
    """Tell a repetition: which bars, where they come again, what they do to the chords."""
    meters = theme.meters
    first, *again = (meters.locate(start)[0] for start in one.starts)
    last = max(first, meters.locate(one.starts[0] + one.length - Fraction(1, 96))[0])
    model = f"Bar {first}" if last == first else f"Bars {first} to {last}"
    verb = "comes" if last == first else "come"
    where = say_bars(frozenset(again))
    if one.kind == "sequence":
        return f"{model} {verb} again on other steps from {where}: the chords move along."
    return f"{model} {verb} again from {where}: the same chords."


def say_idea(one: Harmonisation) -> str:
    """Tell an alternative: its name and idea, its idiom, best and weakest bar, its cost."""
    idea = one.idea.rstrip(".")
    return write_signs(
        f"{one.name[:1].upper()}{one.name[1:]} ({one.idiom}): {idea}."
        f" Best {name_bars(one.best_bar, one.best_bar)},"
        f" weakest {name_bars(one.weakest_bar, one.weakest_bar)};"
        f" cost {write_cost(one.cost)}. {say_measures(one)}"
    )


def say_found(work: Work) -> str:
    """Tell what was read in the tune: its key with the runner-up, its phrases and repetitions."""
    melody, meters = work.melody, work.theme.meters
    said = f"{_READ_AS[work.choices.question.given]} {say_key(melody.key)}"
    if work.found.is_keyless:
        said = "Without a key, as you set it: neither a tonic nor a cadence is asked for."
    elif not melody.is_key_given and not fits_a_scale(melody.notes):
        said += (
            " for want of a better: the notes lie in no major, minor or church scale, and none"
            " under Key leaves the tune without one."
        )
    elif melody.is_key_given:
        said += ", as you set it."
    elif melody.runner_up is not None:
        said += f"; the next likely key is {say_key(melody.runner_up)}."
    else:
        said += "."
    said += _say_octaves(work)
    ends = [meters.locate(melody.notes[phrase.last].onset)[0] for phrase in melody.phrases]
    count = len(ends)
    bars = ", ".join(str(bar) for bar in ends)
    said += f" {count} phrases, ending in bars {bars}." if count > 1 else " One phrase."
    if melody.sequences:
        starts = sorted({meters.locate(s.starts[0])[0] for s in melody.sequences})
        said += f" A sequence begins in {say_bars(frozenset(starts))}."
    if melody.parallels:
        openings = sorted({meters.locate(p.again)[0] for p in melody.parallels})
        said += f" The opening returns in {say_bars(frozenset(openings))}."
    losses = say_losses(work.choices.question)
    return f"{said} {losses}".strip()


def _say_octaves(work: Work) -> str:
    """Tell by how many octaves a tune was moved to lie as the bass or inside; empty for none."""
    asked = work.choices.question
    if asked.given not in LIES_IN:
        return ""
    told = say_octaves(open_source(asked.source, asked.part, asked.bars), work.theme)
    return f" {told}" if told else ""


def say_differences(work: Work) -> str:
    """Tell how much of the tune has other roots in the others than in the one shown."""
    own = LETTERS[work.number]
    apart = [
        f"{LETTERS[number]} {root_difference(work.shown, other):.0%}"
        for number, other in enumerate(work.alternatives)
        if number != work.number
    ]
    if not apart:
        return ""
    return (
        f"Against {own}, figures are bold where the root differs and slanted where only the bass"
        f" or the kind of chord does; \u2013 means the chord holds. Roots other than {own}'s, by"
        f" length: {', '.join(apart)}."
    )


def say_measures(one: Harmonisation) -> str:
    """Give the measures of an alternative in one sentence."""
    value = {own.name: own.value for own in measure(one)}
    outside = value["notes outside their chord"]
    return (
        f"{value['chords a bar']:.1f} chords a bar, {value['different chords']:.0f} different;"
        f" {outside:.0f} note{'' if outside == 1 else 's'} of the tune outside their chord;"
        f" {value['bass moves by step']:.0%} of the bass by step."
    )


def list_costs(one: Harmonisation, slot: int) -> list[list[str]]:
    """Give what a chord costs, dearest first, as lines of words and figure."""
    terms = sorted(one.slot_terms[slot].items(), key=lambda item: -abs(item[1]))
    return [[say_term(name), write_cost(cost)] for name, cost in terms if abs(cost) >= _LEAST]

"""Reading what is said of a figure that repeats, and looking whether it stands there."""

from __future__ import annotations

import re

from harmony.harmonising.idiom import load_idiom
from harmony.harmonising.vocabulary import harmonic_key

OFTEN = ("in part", "once", "twice", "three times", "four times", "five times", "six times")
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")
HIGHER = {"a fourth": 5, "a fifth": 7}


def check_figure(found, one) -> int:
    """Check every note of every statement told, where it is told; give how many were whole."""
    said = re.match(
        r"(?P<where>the bass|a voice inside the chords) repeats the (?P<name>.+?), "
        r"(?P<often>in part|once|twice|\w+ times)(?: and a part of it)?"
        r"(?:, the (?P<which>\w+) time (?P<by>a fourth|a fifth) higher"
        r" in bars? (?P<first>\d+)(?: (?:and|to) (?P<last>\d+))?)?"
        r"(?P<wait>, then holds the fifth in bars? (?P<from>\d+)(?: (?:and|to) (?P<until>\d+))?)?",
        one.idea,
    )
    assert said is not None, one.idea
    notes = load_idiom("ostinato").table["figures"][said["name"]]
    often = said["often"]
    whole = OFTEN.index(often) if often in OFTEN else int(often.split()[0])
    meters = one.theme.meters
    starts = [span.onset for span in found.spans]
    bars = [meters.locate(start)[0] for start in starts]
    lead = next(n for n, start in enumerate(starts) if meters.weight(start) == 4)
    last_note = found.melody.notes[-1].onset
    final = max(n for n, start in enumerate(starts) if start <= last_note)
    is_inside = said["where"] != "the bass"
    for place in range(lead, min(lead + whole * len(notes), final)):
        number, at = divmod(place - lead, len(notes))
        wanted = notes[at]
        if said["which"] and number < len(ORDINALS) and said["which"] == ORDINALS[number]:
            wanted += HIGHER[said["by"]]
            assert int(said["first"]) <= bars[place] <= int(said["last"] or said["first"])
        assert _has(found, one, starts[place], wanted, is_inside=is_inside), (one.idea, bars[place])
    if said["wait"]:
        for place in range(lead + whole * len(notes), final):
            assert int(said["from"]) <= bars[place] <= int(said["until"] or said["from"])
            assert _has(found, one, starts[place], 7, is_inside=is_inside), (one.idea, bars[place])
    assert one.progression.slots[-1].chord.root.pitch_class == _tonic(found)
    return whole


def _tonic(found) -> int:
    """The tonic of the key the idiom hears the tune in."""
    return harmonic_key(found.melody.key, load_idiom("ostinato")).tonic.pitch_class


def _has(found, one, time, note, *, is_inside: bool) -> bool:
    slot = next(s for s in reversed(one.progression.slots) if s.onset <= time)
    wanted = (_tonic(found) + note) % 12
    if not is_inside:
        return slot.bass.pitch_class == wanted
    held = {h.name.pitch_class for h in one.held_at(time)}
    return held == {wanted} and wanted in slot.chord.pitch_classes and (
        slot.bass.pitch_class != wanted
    )  # fmt: skip

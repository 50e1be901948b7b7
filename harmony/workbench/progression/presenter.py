"""From what was found to what is shown; nothing here knows a widget."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from harmony.harmonising.easing import say_let_go
from harmony.pitch.spelling import Pitch
from harmony.workbench.progression.holding import list_bars
from harmony.workbench.progression.state import Choices, PinnedNote
from harmony.workbench.progression.work import LETTERS, Work
from harmony.workbench.words import (
    count_notes,
    speak_pitch,
    write_beat,
    write_cost,
    write_more,
    write_pitch,
)

FEWEST_CENTS = 0.05  # a charge below this would be written as 0


@dataclass(frozen=True, slots=True)
class SheetContent:
    """What lies on and under the notation, by chord and voice."""

    notes: tuple[dict[str, Any], ...]
    under: tuple[dict[str, Any], ...]
    label: str


@dataclass(frozen=True, slots=True)
class Account:
    """The bill of one chord: a heading and lines of (words, cost)."""

    heading: str
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A note a voice could have instead: its name, what it costs more, its place now."""

    pitch: Pitch
    name: str
    price: str
    is_now: bool
    is_pinned: bool

    def to_dict(self) -> dict[str, Any]:
        """Give what the screen needs."""
        return {
            "name": self.name,
            "spoken": speak_pitch(self.pitch),
            "price": self.price,
            "is_now": self.is_now,
            "is_pinned": self.is_pinned,
        }


def present_sheet(work: Work) -> SheetContent:
    """Give the notes to click and speak, and each chord's cost to stand under it."""
    shown = work.shown
    voices = work.problem.ensemble.voices
    bound = {note.place for note in work.choices.bound}
    locked = set(work.choices.locked)
    notes = []
    for number, (slot, pitches) in enumerate(
        zip(work.problem.progression.slots, shown.pitches, strict=True)
    ):
        for place, pitch in enumerate(pitches):
            name = voices[place].name
            is_bound = (slot.bar, slot.beat, name) in bound
            held = "locked" if slot.bar in locked else "pinned"
            spoken = f"{name}, bar {slot.bar}, beat {write_beat(slot.beat)}: {speak_pitch(pitch)}"
            notes.append(
                {
                    "id": f"s{number}v{place}",
                    "slot": number,
                    "voice": place,
                    "spoken": spoken + (f", {held}" if is_bound else ""),
                    "pinned": is_bound,
                }
            )
    costs = shown.slot_costs.sum(axis=1).tolist()
    under = []
    for number, cost in enumerate(costs):
        if shown.pitches[number]:
            bar = work.problem.progression.slots[number].bar
            told = f"{write_cost(cost)} locked" if bar in locked else write_cost(cost)
            locked.discard(bar)  # said once a bar
            under.append({"slot": number, "text": told})
    label = (
        f"Notation for {work.problem.ensemble.name}, alternative {work.choices.letter}."
        " Arrow keys go from note to note, Enter pins or unpins."
    )
    return SheetContent(tuple(notes), tuple(under), label)


def present_result(work: Work, *, is_searching: bool = False) -> str:
    """Say what was found, in one line; ``is_searching`` while it is not the last word."""
    cost = write_cost(work.shown.cost)
    best = work.alternatives[0].outcome
    if best.lower_bound < best.value:
        if is_searching:
            return f"Cost {cost} so far; whether another voicing costs less is being looked into."
        bound = write_cost(best.lower_bound)
        return f"Cost {cost}. The search was stopped; the best possible is {bound} or more."
    let_go = f" {say_let_go(work.problem, work.shown)}".rstrip()
    if work.choices.letter == LETTERS[0]:
        kept = _say_kept(work.choices)
        more = " The search for alternatives was stopped." if work.is_cut_short else ""
        return (
            f"Cost {cost} in all. No other voicing of these chords costs less{kept}: proven."
            f"{more}{let_go}"
        )
    return f"Cost {cost} in all, {write_more(work.shown.cost - work.cheapest)} against A.{let_go}"


def _say_kept(choices: Choices) -> str:
    held = [word for word, one in (("pinned", choices.pins), ("locked", choices.held)) if one]
    return f" with what is {' and '.join(held)}" if held else ""


def present_alternatives(work: Work) -> list[dict[str, Any]]:
    """Give a card for each alternative: letter, cost, how far it lies from A."""
    first = work.alternatives[0]
    cards = []
    for letter, one in zip(LETTERS, work.alternatives, strict=False):
        differing = sum(
            here != there
            for ours, theirs in zip(one.pitches, first.pitches, strict=True)
            for here, there in zip(ours, theirs, strict=True)
        )
        cards.append(
            {
                "letter": letter,
                "cost": write_cost(one.cost),
                "words": "the best" if one is first else count_notes(differing),
                "shown": letter == work.choices.letter,
            }
        )
    return cards


def dearest_slot(work: Work) -> int:
    """Give the number of the chord that costs most."""
    return int(work.shown.slot_costs.sum(axis=1).argmax())


def present_account(work: Work) -> Account:
    """Give the bill of the chosen chord, or of the dearest one."""
    slot = work.choices.chosen[0] if work.choices.chosen else dearest_slot(work)
    own = work.problem.progression.slots[slot]
    cost = float(work.shown.slot_costs[slot].sum())
    heading = f"Bar {own.bar}, beat {write_beat(own.beat)}: {own.figure} costs {write_cost(cost)}"
    lines = tuple(
        (charge.words, write_cost(charge.cost))
        for charge in work.shown.charges[slot]
        if abs(charge.cost) >= FEWEST_CENTS
    )
    return Account(heading, lines)


def present_candidates(work: Work, prices: Mapping[Pitch, float]) -> tuple[Candidate, ...]:
    """Give the notes the chosen voice could have, from the top down, with their prices.

    A price is what the best voicing with that note costs more than the best
    without any pin there.
    """
    if work.choices.chosen is None or not prices:
        return ()
    slot, voice = work.choices.chosen
    now = work.shown.pitches[slot][voice]
    own = work.problem.progression.slots[slot]
    if own.bar in work.choices.locked:
        return ()
    pin = work.choices.pin_at(own.bar, own.beat, work.problem.ensemble.voices[voice].name)
    least = min(prices.values())
    return tuple(
        Candidate(
            pitch,
            write_pitch(pitch),
            write_more(price - least),
            pitch == now,
            pin is not None and pitch == pin.pitch,
        )
        for pitch, price in sorted(prices.items(), key=lambda item: -item[0].midi)
    )


def present_candidates_heading(work: Work) -> str:
    """Say whose notes the candidates are."""
    if work.choices.chosen is None:
        return ""
    slot, voice = work.choices.chosen
    own = work.problem.progression.slots[slot]
    name = work.problem.ensemble.voices[voice].name
    if own.bar in work.choices.locked:
        return f"Bar {own.bar} is locked: its notes stay as they are"
    return f"{name} at bar {own.bar}, beat {write_beat(own.beat)}: other notes, and what they cost"


def lifted_message(before: Choices, after: Choices) -> str:
    """Say which pins and locks were lifted because they no longer mean anything."""
    told = []
    opened = tuple(bar for bar in before.locked if bar not in after.locked)
    if opened:
        verb = "is" if len(opened) == 1 else "are"
        told.append(
            f"{list_bars(opened).capitalize()} {verb} no longer locked: other chords are there."
        )
    lifted = [pin for pin in before.pins if pin not in after.pins]
    if lifted:
        told.append(_tell_pins(lifted))
    return " ".join(told)


def _tell_pins(lifted: Sequence[PinnedNote]) -> str:
    names = ", ".join(f"{pin.voice} {write_pitch(pin.pitch)} in bar {pin.bar}" for pin in lifted)
    verb = "pin was" if len(lifted) == 1 else "pins were"
    return f"{len(lifted)} {verb} lifted, as there is no such note now: {names}."

"""Which notes of the chord are doubled, and which are left out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.candidates import Voicings
from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.sonority import ROLE_WORDS, Member, Sonority
from harmony.voicings.steps import Steps

PULLED = 8
MINOR_THIRD, DIMINISHED_FIFTH = 3, 6
TRIAD = 3


def doubling_points(sonority: Sonority) -> tuple[int, ...]:
    """What each further real part on a member costs, by member.

    Root position: the root is free, the fifth 1, the third 2.  First inversion:
    the bass 1 (free in minor triads and the Neapolitan sixth: common practice), the
    others free.  Second inversion: the bass free, the others 2.  Diminished
    triads: the third free.  A leading tone or a chordal seventh 8, a
    tension or suspended note 3 (course hand-outs of table 04a; Kothman 2009).
    """
    return tuple(_points(member, place, sonority) for place, member in enumerate(sonority.members))


def _points(member: Member, place: int, sonority: Sonority) -> int:
    if member.pull:
        return PULLED
    if not sonority.is_tertian or member.role in ("own", "bass"):
        return 0
    if member.role == "seventh":
        return PULLED
    if member.role in ("tension", "fourth"):
        return 3
    if _is_diminished(sonority):
        return {"third": 0, "fifth": 2, "root": 3}[member.role]
    if sonority.inversion == 2:
        return 0 if place == 0 else 2
    if sonority.inversion == 1:
        return 1 if place == 0 and not _doubles_its_bass(sonority) else 0
    return {"root": 0, "fifth": 1, "third": 2}[member.role]


def _doubles_its_bass(sonority: Sonority) -> bool:
    """Minor triads and the Neapolitan sixth: in first inversion the bass is doubled gladly."""
    root, key = sonority.root_class, sonority.key
    if root is None or len(sonority.members) > TRIAD:
        return False
    is_minor = (root + MINOR_THIRD) % 12 in sonority.pitch_classes
    is_neapolitan = key is not None and (root - key.tonic.pitch_class) % 12 == 1
    return is_minor or is_neapolitan


def _is_diminished(sonority: Sonority) -> bool:
    root = sonority.root_class
    above = set() if root is None else {(c - root) % 12 for c in sonority.pitch_classes}
    return {3, DIMINISHED_FIFTH} <= above


def missing_points(sonority: Sonority) -> tuple[int, ...]:
    """What leaving out each member costs.

    A perfect fifth costs 1 in a seventh chord, 2 in a triad and nothing in a larger
    chord; a third or a note of the composer's own 8, a seventh 6, a root 3, a
    tension 1.
    """
    size = len(sonority.members)
    fifth = 2 if size <= 3 else (1 if size == 4 else 0)
    table = {"third": 8, "fourth": 8, "seventh": 6, "root": 3, "tension": 1, "fifth": fifth}
    return tuple(table.get(member.role, 8) for member in sonority.members)


@dataclass(frozen=True, slots=True)
class Doubling(Term):
    """What is doubled, charged by the place of the note in the chord.

    A doubled third that both voices reach by step in contrary motion is given back.
    """

    def single(self, voicings: Voicings) -> Amounts:
        """Points, shape (n,)."""
        points = np.array(doubling_points(voicings.sonority), dtype=np.int16)
        total: Amounts = np.maximum(voicings.counts - 1, 0) @ points
        return total

    def pair(self, steps: Steps) -> Amounts:
        """Minus the points of a doubled third reached by step in contrary motion, (r, c)."""
        total = np.zeros(steps.shape, dtype=np.int16)
        third = third_of(steps.after.sonority)
        if third is None:
            return total
        points = doubling_points(steps.after.sonority)[third]
        columns = np.flatnonzero(steps.after.counts[:, third] == 2)
        if not points or not len(columns):
            return total
        up, down = self._by_step(steps, third, columns)
        total[:, columns] = np.where(up & down, -points, 0)
        return total

    @staticmethod
    def _by_step(
        steps: Steps, third: int, columns: NDArray[np.intp]
    ) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        up = np.zeros((len(steps.before), len(columns)), dtype=bool)
        down = np.zeros_like(up)
        for voice in steps.real_voices:
            on_third = steps.after.members[columns, voice] == third
            move = steps.moves[voice][:, columns]
            up |= on_third & (move > 0) & (move <= 2)
            down |= on_third & (move < 0) & (move >= -2)
        return up, down

    def explain_single(self, voicings: Voicings) -> list[Item]:
        """One item for each member doubled at a cost."""
        points = doubling_points(voicings.sonority)
        items = []
        for number, member in enumerate(voicings.sonority.members):
            extra = int(voicings.counts[0, number]) - 1
            if extra > 0 and points[number]:
                voices = tuple(
                    v for v in voicings.frame.real_voices if voicings.members[0, v] == number
                )
                kind = "leading tone" if member.pull > 0 else ROLE_WORDS[member.role]
                words = f"the {kind} {member.name} is doubled"
                items.append(Item(voices, extra * points[number], words))
        return items

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item where a doubled third is given back."""
        amount = int(self.pair(steps)[0, 0])
        if not amount:
            return []
        third = third_of(steps.after.sonority)
        voices = tuple(v for v in steps.real_voices if steps.after.members[0, v] == third)
        words = "the third, reached by step in contrary motion, is doubled freely"
        return [Item(voices, amount, words)]


def most_given_back(voicings: Voicings) -> NDArray[np.int16]:
    """The points a doubled third may give back at each voicing, shape (n,)."""
    third = third_of(voicings.sonority)
    if third is None:
        return np.zeros(len(voicings), dtype=np.int16)
    points = doubling_points(voicings.sonority)[third]
    return np.where(voicings.counts[:, third] == 2, points, 0).astype(np.int16)


def third_of(sonority: Sonority) -> int | None:
    """The number of the third that may be doubled freely by contrary steps, or None."""
    for number, member in enumerate(sonority.members):
        if member.role == "third" and not member.pull:
            return number
    return None


@dataclass(frozen=True, slots=True)
class Completeness(Term):
    """Notes of the chord that no voice has."""

    def single(self, voicings: Voicings) -> Amounts:
        """Points, shape (n,)."""
        points = np.array(missing_points(voicings.sonority), dtype=np.int16)
        total: Amounts = (~voicings.presence).astype(np.int16) @ points
        return total

    def explain_single(self, voicings: Voicings) -> list[Item]:
        """One item for each missing note."""
        points = missing_points(voicings.sonority)
        return [
            Item((), points[number], f"the {ROLE_WORDS[member.role]} {member.name} is left out")
            for number, member in enumerate(voicings.sonority.members)
            if points[number] and not voicings.presence[0, number]
        ]

"""What a cost is: a named amount of a voicing, or of a step, and its words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.candidates import Voicings
from harmony.voicings.steps import Steps

Amounts = NDArray[np.integer]


@dataclass(frozen=True, slots=True)
class Item:
    """One entry of a bill: what was charged, to which voices, and why.

    `voices` are counted from the lowest, 0 first; `amount` is in the cost's unit
    before weighing; `words` follow a pattern in which ``{0}``, ``{1}`` stand for
    the names of the voices.
    """

    voices: tuple[int, ...]
    amount: int
    words: str


class Cost(Protocol):
    """A cost: an amount in its unit for every voicing, for every step, or for both.

    Amounts are whole numbers from 0 up; a cost measured more finely than its unit
    says so by `grain`, the number of amounts that make one unit.
    """

    @property
    def name(self) -> str:
        """Identifier of the term."""

    @property
    def unit(self) -> str:
        """What one unit is."""

    @property
    def sentence(self) -> str:
        """What is charged, in a musician's words."""

    @property
    def source(self) -> str:
        """Key in data/sources.bib, or "common practice"."""

    @property
    def grain(self) -> int:
        """Amounts to the unit; 1 unless the cost is a table of fractions."""

    @property
    def better(self) -> str:
        """What is said of a realisation that is charged less than others: ``moves less``."""

    @property
    def allowed(self) -> str:
        """What not charging it allows: ``leaps``."""

    def single(self, voicings: Voicings) -> Amounts | None:
        """Amount for each voicing, shape (n,); None where only steps are charged."""

    def pair(self, steps: Steps) -> Amounts | None:
        """Amount for each step, shape (r, c); None where only voicings are charged."""

    def explain_single(self, voicings: Voicings) -> list[Item]:
        """Itemise the amount of the only voicing.

        What the items leave of the amount is put down under the cost's sentence.
        """

    def explain_pair(self, steps: Steps) -> list[Item]:
        """Itemise the amount of the only step, in the same way."""


@dataclass(frozen=True, slots=True)
class Term:
    """The part that all costs of this house share.

    A cost of one's own inherits it, sets the texts, and gives `single` with
    `explain_single`, or `pair` with `explain_pair`, or both.  In place of `pair` one that
    looks at each voice by itself gives `voice_share`, and is then searched as fast as
    the costs of this house however many voices there are; with a `pair` of its own the
    search of many voices is exact too, but may take minutes.
    """

    name: str = ""
    unit: str = ""
    sentence: str = ""
    source: str = "common practice"
    grain: int = 1
    better: str = ""
    allowed: str = ""

    def single(self, voicings: Voicings) -> Amounts | None:
        """Charge no single voicing."""
        del voicings
        return None

    def pair(self, steps: Steps) -> Amounts | None:
        """Charge a step what its voices add, each by itself; nothing where none does."""
        if type(self).voice_share is Term.voice_share:
            return None
        shares = [self.voice_share(steps, voice) for voice in range(steps.voices)]
        charged = [share for share in shares if share is not None]
        return np.sum(charged, axis=0, dtype=np.int32) if charged else None

    def voice_share(self, steps: Steps, voice: int) -> Amounts | None:
        """What one voice adds to `pair` by itself, shape (r, c); None for nothing.

        Together with `pair_share` this lets the search take the voices in halves; a
        cost that offers neither is worked out as a whole.
        """
        del steps, voice
        return None

    def pair_share(self, steps: Steps, low: int, high: int) -> Amounts | None:
        """What two real parts add to `pair` together, shape (r, c); None for nothing."""
        del steps, low, high
        return None

    def explain_single(self, voicings: Voicings) -> list[Item]:
        """Itemise nothing."""
        del voicings
        return []

    def explain_pair(self, steps: Steps) -> list[Item]:
        """Itemise nothing."""
        del steps
        return []

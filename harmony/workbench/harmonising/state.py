"""What the composer has set at the harmonising desk; frozen, every change a new value."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

MOST_SHOWN = 5


@dataclass(frozen=True, slots=True)
class Edit:
    """A change of the harmonic rhythm at a time in quarters: ``split``, ``join`` or ``move``.

    ``to`` is where the change of chord is moved.
    """

    kind: str
    at: Fraction
    to: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Joint:
    """Bars of one alternative before ``bar`` joined to those of another from there on.

    ``first`` and ``second`` count from 1.
    """

    first: int
    second: int
    bar: int


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: everything that decides which harmonisations are found.

    ``source`` names the theme among those that can be chosen; ``key`` is empty
    where it is to be found; ``fixes`` are chords fixed (``3.1=V6``), forbidden
    (``3.1!=V6``) or locked (fixed, a bar at a time); ``rhythm`` changes the
    planned harmonic rhythm.
    """

    source: str
    idioms: tuple[str, ...] = ("common-practice",)
    key: str = ""
    count: int = MOST_SHOWN
    pace: str = "usual"
    fixes: tuple[str, ...] = ()
    rhythm: tuple[Edit, ...] = ()
    joints: tuple[Joint, ...] = ()


@dataclass(frozen=True, slots=True)
class Choices:
    """The question, and what of its answers is looked at.

    ``shown`` is the number of the alternative written out in notes, from 0;
    ``place`` the time in quarters of the chosen figure; ``about`` says in a
    sentence what the last search was asked besides.
    """

    question: Question
    shown: int = 0
    place: Fraction | None = None
    in_notes: str = "the one shown"
    about: str = ""

    def with_question(self, question: Question, *, about: str = "") -> Choices:
        """Give the choices with another question; its first answer is shown."""
        return Choices(question, in_notes=self.in_notes, about=about)

    def with_source(self, source: str) -> Choices:
        """Give the choices for another theme; what was fixed in the old one is left."""
        asked = self.question
        fresh = Question(source, asked.idioms, count=asked.count, pace=asked.pace)
        return self.with_question(fresh)

    def with_asking(self, *, idioms: tuple[str, ...], key: str, count: int, pace: str) -> Choices:
        """Give the choices asked anew; joints belong to the old answers and go."""
        question = replace(self.question, idioms=idioms, key=key, count=count, pace=pace, joints=())
        if pace != self.question.pace:
            question = replace(question, rhythm=())
        return self.with_question(question)

    def with_fixes(self, *texts: str, about: str = "") -> Choices:
        """Give the choices with chords fixed or forbidden; a new fix replaces one at its place."""
        places = {_place_of(text) for text in texts if not _forbids(text)}
        kept = tuple(
            text
            for text in self.question.fixes
            if text not in texts and (_forbids(text) or _place_of(text) not in places)
        )
        return self._with(fixes=(*kept, *texts), about=about)

    def without_fixes(self, *places: str) -> Choices:
        """Give the choices with nothing fixed or forbidden at places such as ``3.1``."""
        kept = tuple(text for text in self.question.fixes if _place_of(text) not in places)
        return self._with(fixes=kept)

    def with_edit(self, edit: Edit) -> Choices:
        """Give the choices with a change of the harmonic rhythm; one undoes its opposite."""
        opposite = Edit("join" if edit.kind == "split" else "split", edit.at)
        rhythm = self.question.rhythm
        edits = (
            tuple(one for one in rhythm if one != opposite)
            if opposite in rhythm
            else (*rhythm, edit)
        )
        return self._with(rhythm=edits)

    def with_joint(self, joint: Joint, *, shown: int) -> Choices:
        """Give the choices with a joined alternative after the others, and shown."""
        question = replace(self.question, joints=(*self.question.joints, joint))
        return replace(self, question=question, shown=shown)

    def with_shown(self, number: int) -> Choices:
        """Give the choices with an alternative written out."""
        return replace(self, shown=number)

    def with_place(self, place: Fraction, *, shown: int | None = None) -> Choices:
        """Give the choices with a figure chosen."""
        return replace(self, place=place, shown=self.shown if shown is None else shown)

    def with_notes(self, in_notes: str) -> Choices:
        """Give the choices with more or fewer alternatives written out in notes."""
        return replace(self, in_notes=in_notes)

    def _with(
        self,
        *,
        fixes: tuple[str, ...] | None = None,
        rhythm: tuple[Edit, ...] | None = None,
        about: str = "",
    ) -> Choices:
        asked = self.question
        question = replace(
            asked,
            fixes=asked.fixes if fixes is None else fixes,
            rhythm=asked.rhythm if rhythm is None else rhythm,
            joints=(),
        )
        return replace(self, question=question, about=about, shown=min(self.shown, 4))


def _forbids(text: str) -> bool:
    return "!=" in text


def _place_of(text: str) -> str:
    return text.partition("=")[0].rstrip("!").strip()

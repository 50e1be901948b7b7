"""What the composer has set at the harmonising desk; frozen, every change a new value."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.harmonising.lines import BOTH, MELODY

MOST_SHOWN = 5
_GIVEN_UP = "What was joined or asked for again was of the answers before; Undo leads back to it."
_OPPOSITES = {"split": "join", "join": "split", "lock": "unlock", "unlock": "lock"}


@dataclass(frozen=True, slots=True)
class Edit:
    """A change of the harmonic rhythm at a time in quarters.

    ``kind`` is ``split``, ``join``, ``move``, ``lock`` or ``unlock``; ``to`` is where
    the change of chord is moved, or where the stretch that is locked ends.
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
class Again:
    """Asked again of alternative ``number`` (from 1): ``closer``, ``less`` or ``here``.

    ``here`` asks for other chords in bars ``first`` to ``last`` only.
    """

    kind: str
    number: int
    first: int = 0
    last: int = 0


@dataclass(frozen=True, slots=True)
class Repeat:
    """What comes again in the tune and binds the chords: ``sequence`` or ``opening``.

    ``starts`` are the times in quarters of the model and of each copy, which last
    ``length``.
    """

    kind: str
    starts: tuple[Fraction, ...]
    length: Fraction


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: everything that decides which harmonisations are found.

    ``source`` names the theme among those that can be chosen, ``part`` the part of
    it (a number counted from 1, empty: the first) and ``bars`` a stretch such as
    ``5-8`` (empty: all); ``key`` is empty where it is to be found; ``phrase_ends``
    and ``repeats`` are None where they are to be found; ``fixes`` are chords fixed
    (``3.1=V6``), forbidden (``3.1!=V6``) or locked (fixed, a bar at a time);
    ``rhythm`` changes the planned harmonic rhythm, in which ``locked`` are stretches
    (start and end in quarters) kept from an earlier plan. ``turns`` are what was
    asked of the answers since, in order. ``weights`` are steps from the idiom's
    weight of a cost, by its name; one that is not named stands at 0. ``given`` says
    which voice the tune is (:data:`harmony.harmonising.lines.GIVENS`), ``bass`` names the
    part that lies under it where a bass is given too (empty: the last), or another theme.
    """

    source: str
    idioms: tuple[str, ...] = ("common-practice",)
    key: str = ""
    count: int = MOST_SHOWN
    pace: str = "usual"
    fixes: tuple[str, ...] = ()
    rhythm: tuple[Edit, ...] = ()
    turns: tuple[Joint | Again, ...] = ()
    part: str = ""
    bars: str = ""
    phrase_ends: tuple[Fraction, ...] | None = None
    repeats: tuple[Repeat, ...] | None = None
    locked: tuple[tuple[Fraction, Fraction], ...] = ()
    weights: tuple[tuple[str, int], ...] = ()
    given: str = MELODY
    bass: str = ""

    @property
    def locked_now(self) -> tuple[tuple[Fraction, Fraction], ...]:
        """The stretches that are locked after every change."""
        found = dict(self.locked)
        for edit in self.rhythm:
            if edit.kind == "unlock":
                found.pop(edit.at, None)
            elif edit.kind == "lock" and edit.to is not None:
                found[edit.at] = edit.to
        return tuple(sorted(found.items()))


@dataclass(frozen=True, slots=True)
class Choices:
    """The question, and what of its answers is looked at.

    ``shown`` is the number of the alternative written out in notes, from 0;
    ``place`` the time in quarters of the chosen figure; ``figures`` how chords are
    named (:data:`harmony.harmonising.figures.FIGURES`); ``has_counter`` whether a
    counter-melody is written to the tune; ``about`` says in a sentence what the last
    search was asked besides.
    """

    question: Question
    shown: int = 0
    place: Fraction | None = None
    in_notes: str = "the one shown"
    figures: str = "idiom"
    has_counter: bool = False
    about: str = ""

    def with_question(self, question: Question, *, about: str = "") -> Choices:
        """Give the choices with another question; its first answer is shown."""
        return Choices(question, in_notes=self.in_notes, figures=self.figures, about=about)

    def with_source(self, source: str) -> Choices:
        """Give the choices for another theme; what was fixed in the old one is left."""
        return self.with_tune(source, "", "")

    def with_tune(self, source: str, part: str, bars: str) -> Choices:
        """Give the choices for a part and bars of a theme; what was set in another is left."""
        asked = self.question
        if (source, part, bars) == (asked.source, asked.part, asked.bars):
            return self
        fresh = Question(
            source,
            asked.idioms,
            count=asked.count,
            pace=asked.pace,
            part=part,
            bars=bars,
            weights=asked.weights,
            given=asked.given if asked.given != BOTH or source == asked.source else MELODY,
            bass=asked.bass if source == asked.source else "",
        )
        return self.with_question(fresh)

    def with_given(self, given: str, bass: str) -> Choices:
        """Give the choices with the tune as another voice; changes of the old plan are left."""
        asked = self.question
        bass = bass if given == BOTH else ""
        if (given, bass) == (asked.given, asked.bass):
            return self
        return self._read_anew(replace(asked, given=given, bass=bass))

    def with_counter(self, *, has_counter: bool) -> Choices:
        """Give the choices with a counter-melody written to the tune, or taken away."""
        return replace(self, has_counter=has_counter)

    def with_phrase_ends(self, ends: tuple[Fraction, ...] | None) -> Choices:
        """Give the choices with phrases ending at these times in quarters; None: as found."""
        return self._read_anew(replace(self.question, phrase_ends=ends))

    def with_repeats(self, repeats: tuple[Repeat, ...] | None) -> Choices:
        """Give the choices with only these repetitions binding the chords; None: as found."""
        return self._read_anew(replace(self.question, repeats=repeats))

    def _read_anew(self, question: Question) -> Choices:
        # Phrases shape the plan of the harmonic rhythm, so changes of the old plan are left.
        kept = self.question.locked_now
        return self.with_question(replace(question, turns=(), rhythm=(), locked=kept))

    def with_asking(self, *, idioms: tuple[str, ...], key: str, count: int, pace: str) -> Choices:
        """Give the choices asked anew; turns belong to the old answers and go."""
        question = replace(self.question, idioms=idioms, key=key, count=count, pace=pace, turns=())
        if pace != self.question.pace:
            question = replace(question, rhythm=(), locked=self.question.locked_now)
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

    def with_weight(self, name: str, step: int) -> Choices:
        """Give the choices with a cost counting more or less by so many steps."""
        steps = {**dict(self.question.weights), name: step}
        weights = tuple(sorted((name, step) for name, step in steps.items() if step))
        return self._ask_fresh(replace(self.question, weights=weights, turns=()))

    def with_edit(self, edit: Edit) -> Choices:
        """Give the choices with a change of the harmonic rhythm; one undoes its opposite."""
        rhythm = self.question.rhythm
        opposite = _OPPOSITES.get(edit.kind)
        undoes = bool(rhythm) and (rhythm[-1].kind, rhythm[-1].at) == (opposite, edit.at)
        return self._with(rhythm=rhythm[:-1] if undoes else (*rhythm, edit))

    def with_joint(self, joint: Joint, *, shown: int) -> Choices:
        """Give the choices with a joined alternative after the others, and shown."""
        question = replace(self.question, turns=(*self.question.turns, joint))
        return replace(self, question=question, shown=shown, about="")

    def with_again(self, again: Again, *, about: str = "") -> Choices:
        """Give the choices with the alternatives of an answer asked for again; A is what it was."""
        question = replace(self.question, turns=(*self.question.turns, again))
        return replace(self, question=question, shown=0, about=about)

    def with_shown(self, number: int) -> Choices:
        """Give the choices with an alternative written out."""
        return replace(self, shown=number)

    def with_place(self, place: Fraction, *, shown: int | None = None) -> Choices:
        """Give the choices with a figure chosen."""
        return replace(self, place=place, shown=self.shown if shown is None else shown)

    def with_notes(self, in_notes: str) -> Choices:
        """Give the choices with more or fewer alternatives written out in notes."""
        return replace(self, in_notes=in_notes)

    def with_figures(self, figures: str) -> Choices:
        """Give the choices with chords named otherwise."""
        return replace(self, figures=figures)

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
            turns=(),
        )
        return self._ask_fresh(question, about)

    def _ask_fresh(self, question: Question, about: str = "") -> Choices:
        told = about or (_GIVEN_UP if self.question.turns else "")
        return replace(self, question=question, about=told, shown=min(self.shown, 4))


def _forbids(text: str) -> bool:
    return "!=" in text


def _place_of(text: str) -> str:
    return text.partition("=")[0].rstrip("!").strip()

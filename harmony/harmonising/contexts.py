"""What the learnt syntax looks at: each place of a melody, described by small whole numbers.

A description never says which chord stands there; it is the melody's side of the
model.  Every template gives, for one place, a tuple of small numbers, and says
which sides of a chord its weights belong to.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

REST = 12
BEYOND = 13
#: Smallest number in a description; with five bits a number all fit in 64 bits.
_OFFSET = 7


@dataclass(frozen=True, slots=True)
class Place:
    """One place where a chord may change, seen from the melody.

    ``notes`` are the pitch classes that sound in it, above the tonic, in order;
    the first is the one sounding when it begins (empty: a rest). ``is_held`` says
    that this note began earlier, ``length`` is its whole length in places.
    ``strength`` is 2 on a downbeat, 1 on a half bar, else 0. ``to_end`` counts the
    places to the note that ends the phrase (0 on it, below 0 while it is held),
    ``from_start`` those since the phrase began; ``final`` is the pitch class of the
    phrase's last note.
    """

    notes: tuple[int, ...]
    is_held: bool
    length: int
    strength: int
    to_end: int
    from_start: int
    final: int
    in_first_phrase: bool
    in_last_phrase: bool


@dataclass(frozen=True, slots=True)
class Setting:
    """All places of a melody and whether its key is minor."""

    places: tuple[Place, ...]
    is_minor: bool

    def first(self, index: int) -> int:
        """The pitch class at the start of a place; REST, or BEYOND outside the melody."""
        if not 0 <= index < len(self.places):
            return BEYOND
        notes = self.places[index].notes
        return notes[0] if notes else REST

    def last(self, index: int) -> int:
        """The pitch class at the end of a place."""
        if not 0 <= index < len(self.places):
            return BEYOND
        notes = self.places[index].notes
        return notes[-1] if notes else REST


def motion(before: int, after: int) -> int:
    """The shortest way from one pitch class to the next, -5 to 6; 7 where one is missing."""
    if before >= REST or after >= REST:
        return 7
    return (after - before + 5) % 12 - 5


def clip(value: int, low: int, high: int) -> int:
    """Hold a number between two others."""
    return max(low, min(high, value))


Description = tuple[int, ...]
Describe = Callable[[Setting, int], Description | None]


@dataclass(frozen=True, slots=True)
class Template:
    """A kind of description and the sides of a chord its weights belong to.

    ``sides`` are names in :data:`harmony.harmonising.syntax.SIDES`. ``relative_to``
    gives the pitch class the sides are measured from, or is None where they are
    measured from the tonic; then each mode has weights of its own.
    """

    name: str
    describe: Describe
    sides: tuple[str, ...]
    relative_to: Callable[[Setting, int], int] | None = None
    is_general: bool = False


def encode(description: Description) -> int:
    """Pack a description into one number (at most twelve numbers from -7 to 24)."""
    code = 1
    for number in description:
        code = code * 32 + number + _OFFSET
    return code


def _nothing(_setting: Setting, _index: int) -> Description:
    return ()


def _end(setting: Setting, index: int, low: int = -1, high: int = 4) -> int:
    return clip(setting.places[index].to_end, low, high)


def _into(setting: Setting, index: int) -> int:
    return motion(setting.last(index - 1), setting.first(index))


def _onward(setting: Setting, index: int) -> int:
    return motion(setting.first(index), setting.first(index + 1))


def _within(setting: Setting, index: int) -> int:
    notes = setting.places[index].notes
    return motion(notes[0], notes[1]) if len(notes) > 1 else _onward(setting, index)


def _several(setting: Setting, index: int) -> bool:
    return len(setting.places[index].notes) > 1


def _here(setting: Setting, index: int) -> int:
    return setting.first(index)


def _final(setting: Setting, index: int) -> int:
    return setting.places[index].final


def _next(setting: Setting, index: int) -> int:
    return setting.first(index + 1)


def _after_next(setting: Setting, index: int) -> int:
    return setting.first(index + 2)


def _before(setting: Setting, index: int) -> int:
    return setting.first(index - 1)


def _beat(setting: Setting, index: int) -> Description:
    place = setting.places[index]
    return (setting.first(index), place.strength, place.is_held)


def _beat_only(setting: Setting, index: int) -> Description:
    place = setting.places[index]
    return (place.strength, place.is_held)


def _opening(setting: Setting, index: int) -> Description:
    return (clip(setting.places[index].from_start, 0, 3), setting.first(index))


def _which_phrase(setting: Setting, index: int) -> Description:
    place = setting.places[index]
    return (place.in_first_phrase, place.in_last_phrase, _end(setting, index, -1, 3))


def _end_of_all(setting: Setting, index: int) -> Description:
    place = setting.places[index]
    return (place.in_last_phrase, _end(setting, index, -1, 3), setting.first(index))


def _figure(setting: Setting, index: int) -> Description | None:
    """The first three notes of a place measured from its first."""
    notes = setting.places[index].notes
    if len(notes) < 2:
        return None
    return tuple((note - notes[0]) % 12 for note in notes[1:3])


def _from_final(setting: Setting, index: int) -> Description:
    return (motion(setting.places[index].final, setting.first(index)), _end(setting, index))


def _cadence_motion(setting: Setting, index: int) -> Description | None:
    if setting.places[index].to_end > 4:
        return None
    return (_into(setting, index), _onward(setting, index), _end(setting, index))


#: From the tonic, with weights for each mode.
_TONAL = (
    Template("always", _nothing, ("chord",), is_general=True),
    Template("degree", lambda s, i: (s.first(i),), ("chord",), is_general=True),
    Template("degree and beat", _beat, ("chord",), is_general=True),
    Template(
        "degree and phrase", lambda s, i: (s.first(i), _end(s, i)), ("chord", "root"),
        is_general=True,
    ),
    Template("figure", lambda s, i: s.places[i].notes[:4], ("chord", "kind"), is_general=True),
    Template("phrase", _which_phrase, ("chord",), is_general=True),
    Template("close", _end_of_all, ("kind",)),
    Template("degree and next", lambda s, i: (s.first(i), s.first(i + 1)),
             ("chord", "root", "bass")),
    Template("degree and last", lambda s, i: (s.last(i - 1), s.first(i)),
             ("chord", "root", "bass")),
    Template("goal", lambda s, i: (s.places[i].final, _end(s, i)), ("chord", "root")),
    Template("opening", _opening, ("chord",)),
)  # fmt: skip

#: From a note of the melody, with the same weights in both modes.
_RELATIVE = (
    Template("note", _beat_only, ("member", "voice"), _here, is_general=True),
    Template("note and phrase", lambda s, i: (_end(s, i),), ("member in bass",), _here,
             is_general=True),
    Template("into", lambda s, i: (_into(s, i), _end(s, i, -1, 2)), ("member in bass",), _here,
             is_general=True),
    Template("out of", lambda s, i: (_within(s, i), _several(s, i), _end(s, i, -1, 2)),
             ("member in bass",), _here, is_general=True),
    Template("both ways", lambda s, i: (_into(s, i), _onward(s, i)), ("member", "interval"),
             _here),
    Template("turn", lambda s, i: (_into(s, i), _within(s, i), _several(s, i)), ("member",),
             _here),
    Template("notes", _figure, ("member",), _here),
    Template("to the goal", _from_final, ("member", "interval"), _final),
    Template("cadence", _cadence_motion, ("member", "interval"), _final),
    Template("next", lambda s, i: (_onward(s, i), _end(s, i, -1, 2)), ("member", "interval"),
             _next),
    Template("after next", lambda s, i: (_end(s, i, -1, 3),), ("member",), _after_next),
    Template("before", lambda s, i: (s.places[i - 1].to_end <= 0 if i else True,), ("member",),
             _before),
)  # fmt: skip

TEMPLATES: tuple[Template, ...] = _TONAL + _RELATIVE

STEPS = ("phrase", "held", "into", "down", "middle", "weak")


def step_kind(setting: Setting, index: int) -> int:
    """The kind of step into place ``index`` from the one before, a number below 12."""
    place, before = setting.places[index], setting.places[index - 1]
    if before.to_end <= 0 < place.to_end:
        return 0
    if place.to_end < 0:
        return 2
    if place.to_end == 0:
        kind = 2
    elif place.strength == 2:
        kind = 3
    elif place.strength == 1:
        kind = 4
    else:
        kind = 5
    return 2 * kind + place.is_held


STEP_KINDS = 2 * len(STEPS)

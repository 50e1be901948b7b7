"""What one chord asks of a voicing: its members, which must sound, which only once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from harmony.chords.chord import Chord
from harmony.chords.progression import Slot
from harmony.chords.quality import Degree
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch, PitchName

Role = Literal["root", "third", "fifth", "seventh", "tension", "fourth", "bass", "own"]
ROLE_WORDS: dict[Role, str] = {
    "root": "root",
    "third": "third",
    "fifth": "fifth",
    "seventh": "seventh",
    "tension": "tension",
    "fourth": "suspended note",
    "bass": "bass note",
    "own": "note",
}

_DIMINISHED = {3, 6}
_HALF_STEP = 1
OWN_QUALITIES = ("sonority", "polychord")
"""What the text reader calls sonorities that are not built in thirds."""


@dataclass(frozen=True, slots=True)
class Member:
    """One name of a chord.

    `role` is its place in the chord ("own" in a sonority that is not built in
    thirds).  `pull` is +1 for an acting leading tone (it wants to rise a
    semitone), -1 for a chordal seventh (it wants to fall a step), else 0.
    `is_needed` says that no voicing leaves it out.
    """

    name: PitchName
    role: Role
    pull: int = 0
    is_needed: bool = True

    @property
    def pitch_class(self) -> int:
        """Semitones above C."""
        return self.name.pitch_class


@dataclass(frozen=True, slots=True)
class Sonority:
    """The members of a chord, bass first, and how they may be laid out.

    `has_bass` says that the first member is the lowest.  `fixed` are pitches that
    stand as they are; `is_stacked` keeps the order of the members from the bass
    up.  `is_tertian` is False for sonorities of the composer's own and quartal
    chords; nothing about thirds and fifths is assumed of them.  `pedal` is a name
    held in the lowest voice, or in the highest when `pedal_above`.
    """

    members: tuple[Member, ...]
    figure: str = ""
    key: Key | None = None
    has_bass: bool = True
    is_tertian: bool = True
    has_flat_ninth: bool = False
    inversion: int | None = 0
    fixed: tuple[Pitch, ...] = ()
    is_stacked: bool = False
    pedal: PitchName | None = None
    pedal_above: bool = False

    @property
    def pitch_classes(self) -> tuple[int, ...]:
        """Pitch class of each member, bass first."""
        return tuple(member.pitch_class for member in self.members)

    @property
    def root_class(self) -> int | None:
        """Pitch class of the root, None without one."""
        return next((m.pitch_class for m in self.members if m.role == "root"), None)


def role_of(degree: Degree | None, degrees: Sequence[Degree]) -> Role:
    """Say what a degree is in a chord built in thirds."""
    if degree is None:
        return "bass"
    has_third = any(d.number == 3 for d in degrees)
    match degree.number:
        case 1 | 8:
            return "root"
        case 3 | 10:
            return "third"
        case 2 | 4 if not has_third:
            return "fourth"
        case 5 | 12:
            return "fifth"
        case 7 | 14:
            return "seventh"
        case _:
            return "tension"


def is_tertian(chord: Chord) -> bool:
    """True for chords built in thirds and their suspensions, named as such by the trade."""
    if chord.fixed or chord.stacked or chord.quality.name in OWN_QUALITIES:
        return False
    numbers = {degree.number for degree in chord.degrees}
    return bool(numbers & {2, 3, 4, 5})


def slot_to_sonority(slot: Slot, voices: int, following: Chord | None = None) -> Sonority:
    """Give what the chord of a slot asks of `voices` voices.

    `following` is the chord it moves to; a leading tone that does not resolve
    there is free.  The slot must hold a chord.
    """
    chord = slot.chord
    if chord is None:
        raise ValueError("a slot without a chord asks nothing")
    if not is_tertian(chord):
        sonority = Sonority(
            tuple(Member(name, "own") for name in chord.names),
            slot.figure,
            slot.key,
            is_tertian=False,
            inversion=None,
            fixed=chord.fixed,
            is_stacked=chord.stacked,
        )
    else:
        sonority = _tertian_sonority(chord, slot, voices, following)
    if slot.pedal is not None:
        sonority = replace(
            sonority, pedal=slot.pedal, pedal_above=slot.pedal_above, has_bass=slot.pedal_above
        )
    return sonority


def _tertian_sonority(chord: Chord, slot: Slot, voices: int, following: Chord | None) -> Sonority:
    degrees = dict(chord.members)
    roles = {name: role_of(degrees[name], chord.degrees) for name in chord.names}
    free = voices - (1 if slot.pedal is not None else 0)
    needed = needed_names(chord, roles, free)
    members = tuple(
        Member(name, roles[name], _pull(name, chord, roles, slot.key, following), name in needed)
        for name in chord.names
    )
    return Sonority(
        members,
        slot.figure,
        slot.key,
        has_flat_ninth=any(d.member == 2 and d.alter == -1 for d in chord.degrees),
        inversion=chord.inversion,
    )


def needed_names(chord: Chord, roles: dict[PitchName, Role], voices: int) -> set[PitchName]:
    """Choose the names no voicing of a chord in thirds may leave out.

    A perfect fifth may go from a triad or seventh chord in root position (the
    hand-outs behind table 04a) and from any larger chord.  Where there are more
    names than voices, those go first that say least: fifth, root, then the lower
    tensions; the bass, the third, the seventh and the highest or altered tension
    stay as long as there is room.
    """
    degrees = dict(chord.members)
    perfect_fifth = Degree(5)

    def worth(name: PitchName) -> tuple[int, int]:
        degree, role = degrees[name], roles[name]
        if name == chord.bass:
            return 0, 0
        if role in ("third", "fourth"):
            return 1, 0
        if role == "seventh":
            return 2, 0
        if role == "tension":
            top = max(d.number for d in chord.degrees)
            assert degree is not None
            named = degree.number == top or degree.alter != 0 or degree in chord.added
            return (3, -degree.number) if named else (5, -degree.number)
        if role == "fifth" and degree != perfect_fifth:
            return 3, 0
        return (4, 0) if role == "root" else (6, 0)

    ranked = sorted(chord.names, key=worth)
    needed = set(ranked[:voices])
    extended = len(chord.names) > 4 or any(role == "tension" for role in roles.values())
    fifth_may_go = extended or (chord.inversion == 0 and len(chord.names) > 2)
    if fifth_may_go:
        needed -= {name for name in needed if degrees[name] == perfect_fifth}
    if extended and chord.inversion != 0:
        needed -= {name for name in needed if roles[name] == "root" and len(ranked) >= voices}
    needed.add(chord.bass)
    return needed


def _pull(
    name: PitchName,
    chord: Chord,
    roles: dict[PitchName, Role],
    key: Key | None,
    following: Chord | None,
) -> int:
    if roles[name] == "seventh":
        return -1
    if roles[name] not in ("root", "third") or not _acts_as_leading_tone(name, chord, roles, key):
        return 0
    if following is None or following.names == chord.names:
        return 1
    # Without its note of resolution in the next chord it has nowhere to go and is free.
    return 1 if (name.pitch_class + _HALF_STEP) % 12 in following.pitch_classes else 0


def _acts_as_leading_tone(
    name: PitchName, chord: Chord, roles: dict[PitchName, Role], key: Key | None
) -> bool:
    """The third of a dominant or the root of a leading-tone chord, of the key or applied."""
    above_root = {(n.pitch_class - chord.root.pitch_class) % 12 for n in chord.names}
    is_third = roles[name] == "third" and (name.pitch_class - chord.root.pitch_class) % 12 == 4
    is_root = roles[name] == "root" and above_root >= _DIMINISHED
    if not (is_third or is_root):
        return False
    if is_third and 10 in above_root:
        return True
    if is_root and (9 in above_root or 10 not in above_root):
        return True
    if key is None:
        return False
    tonic = key.tonic.pitch_class
    # A raised third foreign to the key marks an applied dominant (V/vi, V/V).
    applied = is_third and name.pitch_class not in {n.pitch_class for n in key.scale}
    return name.pitch_class == (tonic - _HALF_STEP) % 12 or applied

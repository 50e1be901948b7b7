"""Chords: spelled names over a bass, with what was added and left out."""

from __future__ import annotations

from dataclasses import dataclass

from harmony.chords.quality import Degree, Quality
from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval, transpose
from harmony.pitch.spelling import Pitch, PitchName, name_at_fifths


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord as written: spelled, with its bass, before anyone voices it.

    ``added`` and ``omitted`` are degrees above the root. ``figure`` is the text
    it was written as. A sonority of the composer's own sets ``fixed`` (pitches as
    they stand, lowest first) or ``stacked`` (the order of its names from the bass
    up is kept, each in the next place above the one before).
    """

    root: PitchName
    quality: Quality
    bass: PitchName
    added: tuple[Degree, ...] = ()
    omitted: tuple[Degree, ...] = ()
    figure: str = ""
    fixed: tuple[Pitch, ...] = ()
    stacked: bool = False

    def __post_init__(self) -> None:
        if self.omitted and not self.degrees:
            raise HarmonyError(
                f"{self.figure or 'The chord'} has no notes left; at least one is needed."
            )

    @property
    def degrees(self) -> tuple[Degree, ...]:
        """The degrees that sound, without the bass where it is foreign to them."""
        if not self.omitted and not self.added:
            return self.quality.degrees
        kept = tuple(d for d in self.quality.degrees if d not in self.omitted)
        return kept + tuple(d for d in self.added if d not in kept)

    @property
    def members(self) -> tuple[tuple[PitchName, Degree | None], ...]:
        """Each name once with its degree above the root (None: a foreign bass).

        Ordered from the root up by degree as written; a foreign bass comes first.
        """
        found: dict[PitchName, Degree | None] = {}
        root = self.root.fifths
        for degree in self.degrees:
            found.setdefault(name_at_fifths(root + degree.fifths), degree)
        if self.bass not in found:
            return ((self.bass, None), *found.items())
        return tuple(found.items())

    @property
    def names(self) -> tuple[PitchName, ...]:
        """The spelled names, bass first, then upward from the root by degree."""
        root = self.root.fifths
        # Reckoned in fifths: a name then costs an addition, and doubles fall out.
        places = dict.fromkeys([self.bass.fifths, *(root + d.fifths for d in self.degrees)])
        return tuple(map(name_at_fifths, places))

    @property
    def pitch_classes(self) -> frozenset[int]:
        """What sounds, as semitones above C."""
        return frozenset(name.pitch_class for name in self.names)

    @property
    def inversion(self) -> int | None:
        """0 in root position, 1 with the third below, ...; None over a foreign bass."""
        for name, degree in self.members:
            if name == self.bass:
                if degree is None:
                    return None
                # A ninth in the bass is a fourth inversion, a sixth stands for a fifth.
                return (degree.number - 1) // 2
        return None

    def degree_of(self, name: PitchName) -> Degree | None:
        """Give the degree that a name is in this chord, or None."""
        return dict(self.members).get(name)

    def transposed(self, interval: Interval, *, figure: str = "") -> Chord:
        """Give the chord moved by a spelled interval, under a new figure."""
        return Chord(
            transpose(self.root, interval),
            self.quality,
            transpose(self.bass, interval),
            self.added,
            self.omitted,
            figure,
            tuple(transpose(pitch, interval) for pitch in self.fixed),
            self.stacked,
        )

    def __str__(self) -> str:
        return self.figure

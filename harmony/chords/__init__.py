"""Chords and progressions, and the texts they are written in."""

from harmony.chords.chord import Chord
from harmony.chords.progression import Progression, Slot
from harmony.chords.quality import Degree, Quality

__all__ = ["Chord", "Degree", "Progression", "Quality", "Slot"]

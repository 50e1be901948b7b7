"""What a file had and the score has not, counted while reading and told at the end."""

from __future__ import annotations

from collections import Counter

#: what is found in files -> what a musician calls it
_WORDS = {
    "accidental-mark": "accidentals over ornaments",
    "accordion-registration": "accordion registrations",
    "arrow": "arrows",
    "bend": "bends",
    "bracket": "brackets over notes",
    "cue": "cue notes",
    "damp": "damping signs",
    "damp-all": "damping signs",
    "dashes": "dashed lines of hairpins and tempo",
    "eyeglasses": "signs to watch out",
    "figured-bass": "figured bass",
    "frame": "chord diagrams",
    "glissando": "glissandi",
    "slide": "slides",
    "grouping": "analytical groupings",
    "hammer-on": "hammer-ons",
    "pull-off": "pull-offs",
    "handbell": "handbell signs",
    "harp-pedals": "harp pedal diagrams",
    "hole": "fingering holes",
    "image": "pictures",
    "interchangeable": "alternative meters",
    "key-octave": "octave places in key signatures",
    "let-ring": "open ties",
    "link": "links",
    "measure-style": "bar-repeat and slash signs",
    "non-arpeggiate": "non-arpeggio brackets",
    "notehead": "special noteheads",
    "ornament": "rarer ornaments",
    "other": "signs of other programs",
    "percussion": "percussion pictures",
    "principal-voice": "principal voice marks",
    "scordatura": "scordatura",
    "senza-misura": "passages without meter",
    "staff-details": "special staff lines",
    "string-mute": "string mute signs",
    "sound": "playback instructions (other than tempo)",
    "tap": "taps",
    "tremolo": "tremolos between two notes",
    "technical": "rarer playing techniques",
    "wavy-line": "wavy lines",
}
_LAYOUT = "page layout, beams, stem directions and engraved positions (they are set anew)"


class Losses:
    """Counts what cannot be kept."""

    __slots__ = ("_counts", "_sentences")

    def __init__(self) -> None:
        self._counts: Counter[str] = Counter()
        self._sentences: dict[str, None] = {}

    def count(self, kind: str) -> None:
        """Count one thing of a kind that the score model does not hold."""
        self._counts[kind] += 1

    def tell(self, sentence: str) -> None:
        """Tell something that is not counted; once, however often it happens."""
        self._sentences.setdefault(sentence)

    def sentences(self, *, has_layout: bool) -> tuple[str, ...]:
        """Give the sentences for the composer, the most frequent kinds first."""
        found = [
            f"Left out: {_WORDS.get(kind, kind.replace('-', ' ') + ' signs')} ({count})."
            for kind, count in self._counts.most_common()
        ]
        found += self._sentences
        if has_layout:
            found.append(f"Not kept: {_LAYOUT}.")
        return tuple(found)

"""Several continuations of one beginning, unlike each other in length, close and contour."""

from __future__ import annotations

from dataclasses import dataclass

from harmony.pitch import Theme
from harmony.themes.continuing import continue_otherwise

CONTOURS = ("arch", "rise", "fall", "dip")
_DEGREES = (1, 5, 3, 2)  # closed, half closed, open
_MOST = 6


@dataclass(frozen=True, slots=True)
class Continuation:
    """A beginning continued: how many bars were kept and added, the close, the contour.

    ``operation`` is what was done, as it may be written for ``vary``.
    """

    theme: Theme
    kept_bars: int
    bars: int
    closing_degree: int
    contour: str

    @property
    def operation(self) -> str:
        """Give the operation by its name."""
        return (
            f"continuation after {self.kept_bars} bars for {self.bars} bars"
            f" to degree {self.closing_degree} {self.contour}"
        )

    @property
    def sentence(self) -> str:
        """Say what it does."""
        closes = {1: "on the first degree", 2: "on the second, open", 3: "on the third",
                  4: "on the fourth, open", 5: "on the fifth, half closed",
                  6: "on the sixth, open", 7: "on the seventh, open"}  # fmt: skip
        goes = {"arch": "an arch", "rise": "rising", "fall": "falling", "dip": "dipping"}
        kept = "The first bar" if self.kept_bars == 1 else f"The first {self.kept_bars} bars"
        more = "one more" if self.bars == 1 else f"{self.bars} more"
        return f"{kept} and {more}, {goes[self.contour]}, closing {closes[self.closing_degree]}."


def continue_in_ways(
    theme: Theme,
    *,
    kept_bars: int | None = None,
    bars: int | None = None,
    closing_degree: int | None = None,
    contour: str | None = None,
) -> tuple[Continuation, ...]:
    """Give three to six continuations; what is said is held, the rest differs among them.

    Kept are the first half of the bars where ``kept_bars`` is not said, and the new
    part is as long as the old, half as long, or longer by half. Of continuations that
    come out note for note alike only the first is given.
    """
    whole = len([bar for bar in theme.meters.bars_through(theme.line.end) if bar > 0])
    kept = kept_bars or max(1, whole // 2)
    usual = max(2, whole - kept)
    lengths = (bars,) if bars else tuple(dict.fromkeys((usual, max(1, usual // 2), usual * 3 // 2)))
    degrees = (closing_degree,) if closing_degree else _DEGREES
    contours = (contour,) if contour else CONTOURS
    found: list[Continuation] = []
    seen: set[tuple[object, ...]] = set()
    for length, degree, shape in _unlike(lengths, degrees, contours):
        made = continue_otherwise(theme, kept, bars=length, closing_degree=degree, contour=shape)
        notes = tuple((note.onset, note.duration, note.pitch) for note in made.line)
        if notes not in seen:
            seen.add(notes)
            found.append(Continuation(made, kept, length, degree, shape))
        if len(found) == _MOST:
            break
    return tuple(found)


def _unlike(
    lengths: tuple[int, ...], degrees: tuple[int, ...], contours: tuple[str, ...]
) -> list[tuple[int, int, str]]:
    """Order all choices so that each next one shares as little as it can with those before."""
    left = [(n, d, c) for n in lengths for d in degrees for c in contours]
    ordered = [left.pop(0)]
    while left:
        used = [sum(one[part] == now[part] for now in ordered for part in range(3)) for one in left]
        ordered.append(left.pop(used.index(min(used))))
    return ordered

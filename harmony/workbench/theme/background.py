"""The theme desk's search beside the desk: what it says meanwhile."""

from __future__ import annotations

from harmony.workbench.parts import background


class LongSearch(background.LongSearch):
    """A search for canons; it tells how much is looked at, 0 to 1."""

    def __init__(self) -> None:
        super().__init__(_say_share, begins=_say_share(0.0))


def _say_share(share: float) -> str:
    return f"Looking for canons: {round(100 * share)} % looked at."

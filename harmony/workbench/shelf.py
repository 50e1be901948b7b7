"""The sketchbook's line at a desk that also takes its themes from the sketchbook."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable

from harmony.sketchbook import Sketchbook
from harmony.workbench.parts.guard import Guard, saying
from harmony.workbench.parts.keeping import Keeping


class ThemesShelf(ABC):
    """What is kept, listed anew whenever a hand comes near or something was kept.

    ``list_sources`` lists the themes of the desk anew; a desk's own shelf says what
    keeping and opening are there.
    """

    def __init__(
        self, sketchbook: Sketchbook, list_sources: Callable[[], None], *, name: str
    ) -> None:
        self._sketchbook, self._list_sources = sketchbook, list_sources
        self.keeping = Keeping(name=name)
        self.keeping.kept = list(sketchbook.names())
        self._guard = Guard(saying(self.keeping))
        self.keeping.on_press(self._guard(self._take_keeping))
        self.keeping.on_look(self._guard(self.look))

    def look(self) -> None:
        """List what the sketchbook holds now; other desks keep there too."""
        self.keeping.kept = list(self._sketchbook.names())
        self._list_sources()

    def tell(self, said: str) -> None:
        """Say what was kept, and list it."""
        self.look()
        self.keeping.say(said)

    @abstractmethod
    def _take_keeping(self, action: str, name: str) -> None:
        """Keep what is shown under a name, or open what is kept there."""

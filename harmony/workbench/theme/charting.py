"""The chart of every canon, with what decides which canons stand on it."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import ipywidgets

from harmony.themes.canon import Canons
from harmony.themes.counterpoint import JUDGES
from harmony.themes.follower import MOTIONS, STRETCHES
from harmony.workbench.parts.chart import Chart
from harmony.workbench.parts.controls import Actions, Choice
from harmony.workbench.parts.layout import button, row
from harmony.workbench.theme.presenter import present_chart
from harmony.workbench.theme.state import Choices
from harmony.workbench.theme.work import row_to_steps

_STRETCH_WORDS = {
    Fraction(1): "equal durations",
    Fraction(2): "doubled durations",
    Fraction(1, 2): "halved durations",
}
_BEATS, _EIGHTHS = "on beats", "every eighth"


class Charting:
    """The chart and its choices; ``box`` is what is laid out."""

    def __init__(self) -> None:
        self.judge = Choice(label="Judged", options=list(JUDGES))
        self.motion = Choice(label="Motion", options=list(MOTIONS))
        self.stretch = Choice(label="Answer in", options=[_STRETCH_WORDS[s] for s in STRETCHES])
        self.distances = Choice(label="Distances", options=[_BEATS, _EIGHTHS], value=_BEATS)
        self.best = Actions(items=[button("best", "Show the best of these")])
        self.chart = Chart(
            label="Every canon: interval against distance in bars. Figures are bars that hold;"
            " ✓ means no fault at all."
        )
        settings = (self.judge, self.motion, self.stretch, self.distances, self.best)
        self.box = ipywidgets.VBox([row(*settings, name="hw-line"), self.chart])
        self._delays: list[str] = []
        self._best = (0, Fraction(0))
        self._showing = False
        self._shown: tuple[Choices, Canons] | None = None
        self.distances.observe(lambda _change: self._draw(), names="value")

    def on_place(self, callback: Callable[[tuple[int, Fraction]], object]) -> None:
        """Call back with (steps, delay in quarters) of the canon that is wanted."""
        self.chart.on_press(
            lambda line, column: callback((row_to_steps(line), Fraction(self._delays[column])))
        )
        self.best.on_press(lambda _name: callback(self._best))

    def on_settings(self, callback: Callable[[Choices], object]) -> None:
        """Call back with the choices for other canons on the chart."""

        def take(_change: object) -> None:
            if not self._showing and self._shown:
                words = self.stretch.value
                stretch = next(s for s, said in _STRETCH_WORDS.items() if said == words)
                callback(
                    self._shown[0].with_chart(
                        motion=self.motion.value, stretch=stretch, judge=self.judge.value
                    )
                )

        for choice in (self.judge, self.motion, self.stretch):
            choice.observe(take, names="value")

    def show(self, choices: Choices, canons: Canons) -> None:
        """Show the canons that are chosen, the opened one marked."""
        self._shown = choices, canons
        self._showing = True
        self.judge.value, self.motion.value = choices.judge, choices.motion
        self.stretch.value = _STRETCH_WORDS[choices.stretch]
        self._showing = False
        self._draw()

    def _draw(self) -> None:
        if self._shown is None:
            return
        choices, canons = self._shown
        content = present_chart(
            canons,
            choices.motion,
            choices.stretch,
            is_fine=self.distances.value == _EIGHTHS,
            opened=choices.cell,
        )
        self._delays, self._best = content["delays"], content["best"]
        chosen: list[int] = []
        if choices.cell is not None:
            steps, delay = choices.cell
            line = next(i for i, one in enumerate(content["rows"]) if one["steps"] == steps)
            if str(delay) in self._delays:
                chosen = [line, self._delays.index(str(delay))]
        with self.chart.hold_sync():
            self.chart.content = {key: content[key] for key in ("heads", "rows")}
            self.chart.chosen = chosen

"""What the rules and the costs of single chords cost: a fold, worked out when asked for."""

from __future__ import annotations

from typing import Protocol

import ipywidgets

from harmony.voicings.pricing import RulePrice, price_here, price_rules
from harmony.voicings.problem import Problem
from harmony.workbench.parts.background import LongSearch, Watch
from harmony.workbench.parts.controls import Actions, Message
from harmony.workbench.parts.folding import Folded
from harmony.workbench.parts.guard import Guard, saying
from harmony.workbench.parts.layout import button, row
from harmony.workbench.progression.searching import RULES, heeding, report_to, tell_progress
from harmony.workbench.progression.weights import choices_to_weights
from harmony.workbench.progression.work import Work, pin_texts

TITLE = "What the rules cost"
MOST_TOLD = 12
LEAST_TOLD = 0.05  # a saving below it would be written as 0

#: Problem, weights by term, pins.
Question = tuple[Problem, tuple[tuple[str, float], ...], tuple[str, ...]]


class Desk(Protocol):
    """What the fold asks of the desk it belongs to."""

    work: Work

    def refuse_if_behind(self) -> None:
        """Refuse what concerns the notes shown while those of other chords are looked for."""


class Ruling:
    """The fold on desk 1; ``box`` is what is laid out there."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._priced: Question | None = None
        self.actions = Actions(
            items=[
                button("rules", "Price the rules", about="What giving each up throughout saves"),
                button(
                    "here", "Price chord by chord", about="What one cost less at one chord saves"
                ),
            ]
        )
        self.long = LongSearch(tell_progress, begins="Pricing \u2026", stop="Stop pricing")
        self.told = Message()
        self.lines = ipywidgets.VBox()
        inside = row(self.actions, self.long.box, name="hw-line")
        self.folded = Folded(TITLE, inside, self.told, self.lines)
        self.box = self.folded.box
        self.actions.on_press(Guard(saying(self.told))(self._price))

    def follow(self, work: Work) -> None:
        """Take away what was told of another question."""
        if self._priced is not None and self._priced != question_of(work):
            self._priced = None
            self.long.give_up()
            self.told.say("")
            self.lines.children = ()

    def _price(self, name: str) -> None:
        self._desk.refuse_if_behind()
        self.told.say("")
        self.lines.children = ()
        problem, weights, pins = self._priced = question_of(self._desk.work)
        known: list[RulePrice] = []

        def find(watch: Watch) -> tuple[RulePrice, ...]:
            def tell_one(price: RulePrice) -> None:
                known.append(price)
                watch.hand_over(self._tell_so_far, tuple(known))

            report = report_to(watch, RULES)
            with heeding(watch, RULES):
                if name == "rules":
                    return price_rules(problem, dict(weights), pins, report=report, each=tell_one)
                return price_here(problem, dict(weights), pins, report=report)

        self.long.run(find, self._tell, saying(self.told))

    def _tell_so_far(self, prices: tuple[RulePrice, ...]) -> None:
        self.told.say("Those known so far; others follow.")
        self.lines.children = tuple(Message(text=_tell_price(price)) for price in prices)

    def _tell(self, prices: tuple[RulePrice, ...]) -> None:
        told = tell_prices(prices)
        self.told.say(told[0])
        self.lines.children = tuple(Message(text=line) for line in told[1:])


def question_of(work: Work) -> Question:
    """Give what prices depend on."""
    weights = choices_to_weights(work.choices, work.problem.preset)
    return work.problem, tuple(weights.items()), pin_texts(work.choices)


def tell_prices(prices: tuple[RulePrice, ...]) -> list[str]:
    """Put prices into lines: what all come to, then one for each, the dearest first."""
    dear = [price for price in prices if price.at_most >= LEAST_TOLD]
    if not dear:
        return ["None of them costs anything: the best keeps them all of itself."]
    free = len(prices) - len(dear)
    saving = sum(price.saving >= LEAST_TOLD for price in dear)
    head = f"{saving} would save something" if saving else "Nothing known saves anything"
    if len(dear) > saving:
        head += f"; not worked out to the end: {len(dear) - saving}"
    if free and dear[0].slot is None:
        head += f"; the other {free} cost nothing" if free > 1 else "; the other costs nothing"
    if len(dear) > MOST_TOLD:
        head += f"; the dearest {MOST_TOLD}"
    return [f"{head}.", *(_tell_price(price) for price in dear[:MOST_TOLD])]


def _tell_price(price: RulePrice) -> str:
    return f"{price.words[:1].upper()}{price.words[1:]}."

"""The spacing of a chord on the screen, behind a fold: seen, heard, steered by."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from harmony.errors import HarmonyError
from harmony.instruments.catalogue import ensemble
from harmony.pitch.spelling import Pitch
from harmony.voicings.problem import Problem
from harmony.voicings.realisation import Realisation
from harmony.workbench.parts.controls import Actions, Choice, Message
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.folding import Folded
from harmony.workbench.parts.guard import Guard, complaining, saying, tell_fault
from harmony.workbench.parts.layout import button, row
from harmony.workbench.parts.spacing import SpacingPicture, Tones
from harmony.workbench.spacing.course import draw_course
from harmony.workbench.spacing.facts import name_chord, tell_facts
from harmony.workbench.spacing.hearing import Heard, hear_chord
from harmony.workbench.spacing.picture import draw_spacing
from harmony.workbench.spacing.sound import SOUNDS, sounds_of
from harmony.workbench.spacing.steering import (
    Standpoint,
    Steered,
    roughen_between,
    sit_on,
    smooth_between,
    spread_from_here,
)
from harmony.workbench.spacing.weighing import DOUBLINGS, tell_comparison, tell_doubling
from harmony.workbench.words import write_pitch

TITLE = "Spacing against the harmonic series"
OTHER_PLAYERS = "horn quartet"  # set against the desk's own at first
_STEERING: dict[str, tuple[str, Callable[[Standpoint], Steered]]] = {
    "spread": ("Spread it like the series from here up", spread_from_here),
    "smooth": ("Least rough between its outer notes", smooth_between),
    "roughen": ("Most rough between its outer notes", roughen_between),
}

#: Pins a chord's notes, top voice first, at the chord with this number.
PinChord = Callable[[int, tuple[Pitch, ...]], None]


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """What the desk shows: the chord looked at, and the voice chosen in it if any."""

    problem: Problem
    realisation: Realisation
    number: int
    voice: int | None
    seconds: float

    def is_like(self, other: Scene | None) -> bool:
        """Say whether another scene would be drawn the same."""
        return other is not None and (
            self.problem is other.problem
            and self.realisation.pitches == other.realisation.pitches
            and (self.number, self.voice) == (other.number, other.voice)
        )


class SpacingPanel:
    """The fold under the notation of desk 1. ``box`` is what is laid out there."""

    def __init__(self, *, ensembles: Sequence[str], pin_chord: PinChord) -> None:
        self._pin_chord = pin_chord
        self._scene: Scene | None = None
        self._heard: Heard | None = None
        self._fundamental = ""
        self._about: tuple[int, tuple[Pitch, ...]] | None = None  # what the sentence is about
        self._build(list(ensembles))
        self._connect()

    def _build(self, ensembles: list[str]) -> None:
        self.picture = SpacingPicture()
        self.tones = Tones(items=[list(pair) for pair in SOUNDS])
        self.steering = Actions(items=[button(n, label) for n, (label, _) in _STEERING.items()])
        self.told = Message()
        self.fundamental = Entry(label="Fundamental (empty: the one found)")
        self.base = Actions(
            items=[button("show", "Show its partials"), button("sit", "Lay the chord over it")]
        )
        self.other = Choice(label="Other players", options=ensembles, value=OTHER_PLAYERS)
        self.compare = Actions(items=[button("compare", "Compare them")])
        self.doubled = Choice(label="Double")
        places = list(DOUBLINGS)
        self.where = Choice(label="Where", options=places, value=places[0])
        self.double = Actions(items=[button("double", "Say what it adds")])
        folded = Folded(
            TITLE,
            self.picture,
            self.tones,
            self.steering,
            row(self.fundamental, self.base, name="hw-beside"),
            row(self.other, self.compare, self.doubled, self.where, self.double, name="hw-line"),
            self.told,
            is_open=True,
        )
        self.fold, self.box = folded.fold, folded.box

    def _connect(self) -> None:
        guard = Guard(saying(self.told))
        beside = Guard(complaining(self.fundamental))
        self.fold.observe(guard(lambda _change: self._draw_if_seen()), names="is_open")
        self.picture.observe(guard(lambda _change: self._draw()), names="width")
        self.steering.on_press(guard(self._take_steering))
        self.fundamental.on_submit(beside(self._take_fundamental))
        self.base.on_press(beside(self._take_base))
        self.compare.on_press(guard(lambda _name: self._compare()))
        self.double.on_press(guard(lambda _name: self._double()))

    def show(self, scene: Scene) -> None:
        """Follow the desk to another chord or voicing; nothing is done where it is the same."""
        if scene.is_like(self._scene):
            return
        self._scene = scene
        if self._about != (scene.number, scene.realisation.pitches[scene.number]):
            self.forget()
        self._draw_if_seen()

    def forget(self) -> None:
        """Take away the sentence about what was done last."""
        self._about = None
        self.told.say("")

    # What the composer does.

    def _take_steering(self, name: str) -> None:
        self._steer(_STEERING[name][1](self._stand()))

    def _take_fundamental(self, text: str) -> None:
        self._fundamental = text.strip()
        self.fundamental.say("")
        self._draw()

    def _take_base(self, name: str) -> None:
        if name == "show":
            self._take_fundamental(self.fundamental.text)
            return
        steered = sit_on(self._stand(), self.fundamental.text)
        self._fundamental = self.fundamental.text.strip()
        self._steer(steered)

    def _compare(self) -> None:
        first = self._scene_shown().problem.ensemble
        self._say(tell_comparison(self._heard_now(), first, ensemble(self.other.value)))

    def _double(self) -> None:
        self._say(tell_doubling(self._heard_now(), self.doubled.value, self.where.value))

    def _steer(self, steered: Steered) -> None:
        number = self._scene_shown().number
        self._pin_chord(number, steered.pitches)
        # The desk may show what it found only later; the sentence waits for it.
        self._about = number, steered.pitches
        self.told.say(steered.sentence)

    def _say(self, sentence: str) -> None:
        scene = self._scene_shown()
        self._about = scene.number, scene.realisation.pitches[scene.number]
        self.told.say(sentence)

    # What is shown.

    def _draw_if_seen(self) -> None:
        if self.fold.is_open:
            self._draw()

    def _draw(self) -> None:
        scene = self._scene
        if scene is None:
            return
        course = draw_course(
            scene.realisation, chosen=scene.number, width=float(self.picture.width)
        )
        heard = self._heard = self._hear(scene, course)
        if heard is None:
            self.tones.sounds = {}
            return
        self.picture.show(
            heading=name_chord(heard),
            picture=draw_spacing(heard),
            facts=[fact.to_dict() for fact in tell_facts(heard)],
            course=course,
            file_name=f"spacing bar {heard.slot.bar} beat {float(heard.slot.beat):g}",
        )
        self.tones.sounds = sounds_of(heard)
        self._offer_notes([write_pitch(pitch) for pitch in reversed(heard.pitches)])

    def _hear(self, scene: Scene, course: str) -> Heard | None:
        """Measure the chord; what cannot be measured is told in place of the picture."""
        if self._fundamental:
            try:
                heard = hear_chord(
                    scene.realisation,
                    scene.number,
                    fundamental=self._fundamental,
                    seconds=scene.seconds,
                )
            except HarmonyError as fault:
                self.fundamental.complain(tell_fault(fault, unforeseen=False))
            else:
                self.fundamental.say("")
                return heard
        try:
            return hear_chord(scene.realisation, scene.number, seconds=scene.seconds)
        except HarmonyError as fault:
            place = scene.realisation.progression.slots[scene.number].place.capitalize()
            self.picture.excuse(place, tell_fault(fault, unforeseen=False), course=course)
            return None

    def _offer_notes(self, names: list[str]) -> None:
        if names == self.doubled.options:
            return
        kept = self.doubled.value if self.doubled.value in names else names[0]
        with self.doubled.hold_sync():
            self.doubled.options, self.doubled.value = names, kept

    def _scene_shown(self) -> Scene:
        if self._scene is None:
            raise HarmonyError("No chord is shown yet; voice a progression first.")
        return self._scene

    def _stand(self) -> Standpoint:
        scene = self._scene_shown()
        return Standpoint(scene.problem, scene.realisation, scene.number, scene.voice)

    def _heard_now(self) -> Heard:
        if self._heard is None:
            raise HarmonyError(self.picture.message or "No chord sounds here; choose another.")
        return self._heard

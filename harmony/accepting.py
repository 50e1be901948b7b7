"""What is given to a public function, looked at once at the door.

The annotations of a function say what it accepts; :func:`accepting` holds callers to
them, so that what is of the wrong kind is refused in one sentence before any work, and
not by an error of the language from deep inside. What a text or a number must say
beyond its kind is for the function itself.
"""

from __future__ import annotations

import builtins
import inspect
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cache, wraps
from math import isfinite
from numbers import Integral, Rational, Real
from pathlib import Path
from types import FunctionType, NoneType, UnionType
from typing import Any, Literal, ParamSpec, TypeVar, Union, get_args, get_origin

from harmony.errors import HarmonyError

P = ParamSpec("P")
R = TypeVar("R")

_LONGEST_SHOWN = 60
_MOST_DIGITS = 18
_WORDS: dict[Any, str] = {
    str: "text", int: "a whole number", float: "a number", bool: "True or False",
    Fraction: "a Fraction", Path: "a path", NoneType: "None", Any: "anything",
}  # fmt: skip


class KindError(HarmonyError, TypeError):
    """A value of a kind that a public function does not accept."""


class _Misfit(Exception):  # noqa: N818 - never seen outside
    """A value that its annotation does not allow, perhaps inside the one given."""

    def __init__(
        self, value: object, hint: Any, *, is_inside: bool = False, is_too_large: bool = False
    ) -> None:
        super().__init__()
        self.value, self.hint = value, hint
        self.is_inside, self.is_too_large = is_inside, is_too_large


class _ByName(type):
    """Stands for a class that its module names but does not load: known by its name."""

    def __instancecheck__(cls, value: object) -> bool:
        return any(base.__name__ == cls.__name__ for base in type(value).__mro__)


class _Names(dict[str, Any]):
    """The names that annotations of a module are written in."""

    def __init__(self, module: Mapping[str, Any]) -> None:
        super().__init__()
        self._module = module

    def __missing__(self, name: str) -> Any:
        found = self._module.get(name, getattr(builtins, name, None))
        if isinstance(found, str):  # an alias in quotes, of classes loaded late
            return _evaluate(found, self)
        return _ByName(name, (), {}) if found is None else found


def accepting(function: Callable[P, R]) -> Callable[P, R]:
    """Hold the callers of a function to its annotations.

    Whole numbers and fractions of other libraries come in as Python's own, and what can
    be gone through only once comes in as a tuple. Raises KindError, in one sentence, for
    a value of a kind that is not accepted and for a number that is not finite; a call
    with too few, too many or unknown arguments is a TypeError, as everywhere.
    """

    @wraps(function)
    def checked(*args: P.args, **kwargs: P.kwargs) -> R:
        signature, hints = _read(function)
        try:
            bound = signature.bind(*args, **kwargs)
        except TypeError:
            return function(*args, **kwargs)  # refused there, with the function's own name
        for name, value in bound.arguments.items():
            if name not in hints:
                continue
            try:
                if signature.parameters[name].kind is inspect.Parameter.VAR_POSITIONAL:
                    bound.arguments[name] = tuple(_take(one, hints[name]) for one in value)
                else:
                    bound.arguments[name] = _take(value, hints[name])
            except _Misfit as misfit:
                raise _refuse(function, name, misfit) from None
        return function(*bound.args, **bound.kwargs)

    return checked


@cache
def _read(function: Callable[..., Any]) -> tuple[inspect.Signature, dict[str, Any]]:
    assert isinstance(function, FunctionType)
    names = _Names(function.__globals__)
    hints = {
        name: _evaluate(hint, names)
        for name, hint in function.__annotations__.items()
        if name != "return"
    }
    return inspect.signature(function), hints


def _evaluate(hint: str, names: _Names) -> Any:
    return eval(hint, {}, names)  # noqa: S307 - an annotation of our own source


def _take(value: Any, hint: Any) -> Any:
    """Give a value as its annotation has it; raise _Misfit where it is of another kind."""
    origin = get_origin(hint)
    if hint is Any:
        return value
    if origin in (Union, UnionType):
        return _take_any(value, hint)
    if hint is int or hint is float or hint is Fraction:
        return _take_number(value, hint)
    if origin is Literal:  # which words it has is said by the function
        origin, hint = str, str
    kind = origin or (NoneType if hint is None else hint)
    if not isinstance(value, kind):
        raise _Misfit(value, hint)
    return _take_contents(value, hint, origin)


def _take_contents(value: Any, hint: Any, origin: Any) -> Any:
    """Give a value of the right kind with what is in it taken too."""
    inner = get_args(hint)
    if origin is tuple:
        if len(value) != len(inner):
            raise _Misfit(value, hint)
        return tuple(_take(one, kind) for one, kind in zip(value, inner, strict=True))
    if origin is Mapping:
        return {_take_inside(k, inner[0]): _take_inside(v, inner[1]) for k, v in value.items()}
    if origin is Sequence or origin is Iterable:
        if isinstance(value, str | bytes | bytearray | Mapping):
            raise _Misfit(value, hint)
        taken = tuple(_take_inside(one, inner[0]) for one in value)
        # A value of ours that is a series too (a line, a progression) is left as it is.
        return taken if isinstance(value, list | tuple | Iterator) else value
    return value


def _take_any(value: Any, hint: Any) -> Any:
    inside = None
    for choice in get_args(hint):
        try:
            return _take(value, choice)
        except _Misfit as misfit:
            if misfit.is_inside or misfit.is_too_large:
                inside = misfit
    raise inside or _Misfit(value, hint)


def _take_number(value: Any, hint: type) -> int | float | Fraction:
    kind: Any = {int: Integral, float: Real, Fraction: Rational}[hint]
    if isinstance(value, bool) or not isinstance(value, kind):
        raise _Misfit(value, hint)
    if isinstance(value, Rational) and abs(value) >= 10**_MOST_DIGITS:
        raise _Misfit(value, hint, is_too_large=True)
    if hint is float:
        if not isfinite(value):
            raise _Misfit(value, hint)
        return value if isinstance(value, int | float) else float(value)
    return int(value) if hint is int else Fraction(value)


def _take_inside(value: Any, hint: Any) -> Any:
    try:
        return _take(value, hint)
    except _Misfit as misfit:
        raise _Misfit(
            misfit.value, misfit.hint, is_inside=True, is_too_large=misfit.is_too_large
        ) from None


def _refuse(function: Callable[..., Any], name: str, misfit: _Misfit) -> KindError:
    called = function.__qualname__
    place = called if "." in called else f"harmony.{called}"
    within, there = ("in", " there") if misfit.is_inside else ("as", "")
    if misfit.is_too_large:
        shown, accepted = "so large a number", f"one of up to {_MOST_DIGITS} digits"
    else:
        shown, accepted = _show(misfit.value), _say(misfit.hint)
    return KindError(
        f"{place} cannot take {shown} {within} {name!r}; {accepted} is accepted{there}.",
        where=name,
    )


def _show(value: object) -> str:
    if value is None or isinstance(value, bool):
        return str(value)
    try:
        shown = repr(value)
    except ValueError:  # whole numbers of thousands of digits are not written out
        shown = ""
    if not 0 < len(shown) <= _LONGEST_SHOWN:
        return _with_article(type(value).__name__)
    return f"{shown} ({type(value).__name__})"


def _say(hint: Any) -> str:
    """Say what an annotation accepts."""
    choices = get_args(hint) if get_origin(hint) in (Union, UnionType) else (hint,)
    if float in choices:  # whole numbers and fractions are numbers
        choices = tuple(choice for choice in choices if choice not in (int, Fraction))
    said = list(dict.fromkeys(_say_one(choice) for choice in choices))
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} or {said[-1]}"


def _say_one(hint: Any) -> str:
    if hint is None:
        return "None"
    if hint in _WORDS:
        return _WORDS[hint]
    origin, inner = get_origin(hint), get_args(hint)
    if origin is Mapping:
        return f"a dict ({_say(inner[0])} to {_say(inner[1])})"
    if origin is Sequence or origin is Iterable:
        return f"a list (of {_say(inner[0])})"
    if origin is tuple:
        return f"a tuple (of {', '.join(_say(one) for one in inner)})"
    if origin is Callable:
        return "a function"
    name = hint.__name__
    if name == Path.__name__:  # named by a module that does not load it
        return _WORDS[Path]
    return _with_article(name)


def _with_article(name: str) -> str:
    return f"{'an' if name[0] in 'AEIOUaeiou' else 'a'} {name}"

"""What a part's script sends to Python: a word, and what comes with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget


def on_message(part: anywidget.AnyWidget, word: str, callback: Callable[[Any], object]) -> None:
    """Call back with what comes with a word, whenever the part's script sends it."""

    def receive(_part: object, content: dict[str, Any], _buffers: object) -> None:
        if word in content:
            callback(content[word])

    part.on_msg(receive)

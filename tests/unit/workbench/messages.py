"""What the browser would do to a part of a desk."""

from __future__ import annotations

import anywidget


def send(part: anywidget.AnyWidget, **content: object) -> None:
    """Send a part a message."""
    part._handle_custom_msg(content, [])

"""Parts side by side, and what a button of a row of buttons is."""

from __future__ import annotations

from typing import Any

import ipywidgets


def row(*parts: ipywidgets.Widget, name: str) -> ipywidgets.Box:
    """Lay parts out side by side, as the style sheet's class ``name`` has it."""
    box = ipywidgets.Box(list(parts))
    box.add_class(name)
    return box


def button(
    name: str, label: str, *, enabled: bool = True, first: bool = False, about: str = ""
) -> dict[str, Any]:
    """Give an item of :class:`harmony.workbench.parts.controls.Actions`."""
    return {"name": name, "label": label, "enabled": enabled, "first": first, "about": about}

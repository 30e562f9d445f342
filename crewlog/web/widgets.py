"""Form widgets of the house: answers as tiles, each saying what it means."""

from collections.abc import Mapping
from typing import Any

from django import forms


class TileMixin(forms.widgets.ChoiceWidget):
    """Adds a hint to each option; `hints` maps the option's value to one short line."""

    hints: Mapping[str, str]

    def create_option(self, name: str, value: Any, *args: Any, **kwargs: Any) -> dict[str, Any]:
        option: dict[str, Any] = super().create_option(name, value, *args, **kwargs)
        option["hint"] = self.hints.get(str(value), "")
        return option


class Tiles(TileMixin, forms.RadioSelect):
    """One answer of a few. Two or three short ones stand side by side."""

    def __init__(self, *args: Any, hints: Mapping[str, str] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.hints = hints or {}


class TickTiles(TileMixin, forms.CheckboxSelectMultiple):
    """Any number of answers, each a tile to tick."""

    def __init__(self, *args: Any, hints: Mapping[str, str] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.hints = hints or {}

"""A form field for a quantity: one text box with the reader's unit beside it, cleaned to the stored unit."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.html import format_html
from django.utils.safestring import SafeString

from crewlog.quantities.kinds import kind_named, vocabulary
from crewlog.quantities.number_style import COMMA, decimal_mark
from crewlog.quantities.parse import LONGEST_TEXT, QuantityTextError, is_bare_number
from crewlog.quantities.typed import Limits, Quantity, check_limits, input_text, read_quantity

FULL_TURN_DEG = 360.0


class QuantityInput(forms.TextInput):
    """The box with its unit (`unit_label`) beside the input, and a hidden note of that unit.

    The note makes a bare number mean what it meant when the page was opened, should the company have changed its
    units since: it is sent back as `NAME-unit` and read by the same strict parser.
    """

    unit_label = ""

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        context["unit_label"] = self.unit_label
        return context

    def value_from_datadict(self, data: Mapping[str, Any], files: Any, name: str) -> str | None:
        text: str | None = data.get(name)
        shown = data.get(f"{name}-unit")
        if text and shown and shown != self.unit_label and is_bare_number(text, comma=decimal_mark() == COMMA):
            return f"{text.strip()} {shown}"
        return text

    def render(self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None) -> SafeString:
        if not self.unit_label:
            return super().render(name, value, attrs, renderer)
        attrs = {**(attrs or {})}
        unit_id = f"{attrs.get('id') or f'id_{name}'}-unit"
        attrs["aria-describedby"] = f"{attrs.get('aria-describedby') or ''} {unit_id}".strip()
        return format_html(
            '<div class="box">{}<input type="hidden" name="{}-unit" value="{}">'
            '<span class="box__unit" id="{}">{}</span></div>',
            super().render(name, value, attrs, renderer),
            name,
            self.unit_label,
            unit_id,
            self.unit_label,
        )


class QuantityField(forms.Field):
    """Cleans typed text to a float in the stored unit of `kind`; the box shows again exactly what was typed.

    `min_value` and `max_value` are in the stored unit; `min_exclusive` keeps the lower bound itself out; `noun` ends
    the message ("At most 30° of lean."). An initial value that nobody touched comes back with every digit it had.
    `quantity` holds what was last cleaned, with its text.
    """

    def __init__(
        self,
        *,
        kind: str,
        min_value: float | None = None,
        max_value: float | None = None,
        min_exclusive: bool = False,
        noun: str = "",
        unit_system: str = "",
        **kwargs: Any,
    ) -> None:
        kind_named(kind)  # an unknown kind fails when the form's class is made
        if min_exclusive and min_value is None:
            raise ValueError("min_exclusive needs a min_value")
        self.kind = kind
        self.limits = Limits(min_value=min_value, max_value=max_value, exclusive=min_exclusive, noun=noun)
        self.stored_value: float | None = None
        self.quantity: Quantity | None = None
        kwargs.setdefault("widget", QuantityInput)
        super().__init__(**kwargs)
        self._unit_system = ""
        if unit_system:
            self.unit_system = unit_system

    @property
    def unit_system(self) -> str:
        """Set by UnitForm; a field used without it must be given one, or a bare number would have no unit."""
        if not self._unit_system:
            raise ValueError("a QuantityField needs a unit_system: derive the form from UnitForm")
        return self._unit_system

    @unit_system.setter
    def unit_system(self, unit_system: str) -> None:
        self._unit_system = str(unit_system)
        if isinstance(self.widget, QuantityInput):
            self.widget.unit_label = kind_named(self.kind).shown(unit_system).symbol
        self.widget.attrs["inputmode"] = self.keypad()

    def keypad(self) -> str:
        """What a phone offers: figures, or all keys where a minus, feet and inches or fractions are usual.

        Figures come first because a glove hits them; the unit beside the box brings the letters for another unit.
        """
        kind = kind_named(self.kind)
        min_value = kind.min_value if self.limits.min_value is None else max(self.limits.min_value, kind.min_value)
        has_marks = kind.shown(self.unit_system).symbol in ("ft", "in")
        return "text" if min_value < 0 or has_marks else "decimal"

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {"autocomplete": "off", "maxlength": str(LONGEST_TEXT)}

    def prepare_value(self, value: Any) -> Any:
        """Typed text unchanged, a stored value as text in the reader's unit."""
        if value is None or isinstance(value, str):
            return value
        return input_text(float(value), self.kind, self.unit_system)

    def to_python(self, value: Any) -> float | None:
        self.quantity = None
        if value is None or not str(value).strip():
            return None
        text = str(value)
        try:
            self.quantity = self._untouched(text) or read_quantity(
                text, self.kind, self.unit_system, limits=self.limits, mark=decimal_mark()
            )
        except QuantityTextError as error:
            raise ValidationError(error.message, code=error.code) from None
        return self.quantity.value

    def _untouched(self, text: str) -> Quantity | None:
        """The stored value with full precision when the box still shows it; its limits hold all the same."""
        if self.stored_value is None or text.strip() != self.prepare_value(self.stored_value):
            return None
        kind = kind_named(self.kind)
        unit = kind.shown(self.unit_system)
        check_limits(self.stored_value, kind, unit, limits=self.limits)
        return Quantity(value=self.stored_value, text=text.strip(), kind=self.kind, unit=unit.symbol, bare=True)

    def validate(self, value: Any) -> None:
        if value is None and self.required:
            example = vocabulary(self.kind, self.unit_system).example
            raise ValidationError(f"Write a number, such as {example}.", code="required")

    def has_changed(self, initial: Any, data: Any) -> bool:
        if self.disabled:
            return False
        shown = self.prepare_value(initial)
        return ("" if shown is None else str(shown).strip()) != ("" if data is None else str(data).strip())

    def echo(self, text: str, unit_system: str) -> str:
        """Text as typed with its metric value: "2700 lbf = 12.01 kN". Raises QuantityTextError."""
        return read_quantity(text, self.kind, unit_system, limits=self.limits, mark=decimal_mark()).echo()


class BearingField(QuantityField):
    """A compass bearing; 360° is north, stored as 0."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(kind="bearing", min_value=0, max_value=FULL_TURN_DEG, **kwargs)

    def to_python(self, value: Any) -> float | None:
        degrees = super().to_python(value)
        return None if degrees is None else degrees % FULL_TURN_DEG


class UnitForm(forms.BaseForm):
    """Base of forms with quantities: `class PlanForm(UnitForm, forms.Form)`; takes `unit_system="metric"` or "us"."""

    def __init__(self, *args: Any, unit_system: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit_system = str(unit_system)
        for name, field in self.fields.items():
            if isinstance(field, QuantityField):
                field.unit_system = self.unit_system
                initial = self.get_initial_for_field(field, name)
                field.stored_value = None if initial is None or isinstance(initial, str) else float(initial)

    def quantity(self, name: str) -> Quantity | None:
        """What was typed in a box and its value, after cleaning; None when empty or refused."""
        field = self.fields[name]
        return field.quantity if isinstance(field, QuantityField) else None

    def echo(self, name: str) -> str:
        """ "2700 lbf = 12.01 kN" for a box that was read, else an empty string."""
        quantity = self.quantity(name)
        return quantity.echo() if quantity else ""

"""Columns that say once what is asked and how: words, kind of quantity, bounds, and what rests on the answer.

The form field, the bounds of the CHECK and the words of a sentence come from the declaration; what an app makes of
`needed`, `favourable` and `method` it reads with `declared_columns`. A migration sees Django's own field, so that a
change of words or answers needs none; a bound that a CHECK holds does.
"""

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar, Literal, TypeVar

from django import forms
from django.db import models
from django.db.models import Q
from django.utils.text import capfirst

from crewlog.quantities.fields import BearingField, QuantityField
from crewlog.quantities.typed import Limits
from crewlog.web import form_boxes
from crewlog.web.answers import answer, whole_number

Favourable = Literal["", "lower", "higher", "source"]
ALWAYS = "always"

Set = TypeVar("Set")
Get = TypeVar("Get")

if TYPE_CHECKING:
    from django.db.models import (
        BooleanField,
        CharField,
        DateField,
        Field,
        FloatField,
        PositiveIntegerField,
        PositiveSmallIntegerField,
        TextField,
    )
else:

    def _with_parameters(field):
        """Django's field, taking the type parameters that its stubs have."""
        return type(field.__name__, (field,), {"__class_getitem__": classmethod(lambda cls, _: cls)})

    BooleanField, CharField, DateField, Field, FloatField = (
        _with_parameters(getattr(models, name))
        for name in ("BooleanField", "CharField", "DateField", "Field", "FloatField")
    )
    PositiveIntegerField, PositiveSmallIntegerField, TextField = (
        _with_parameters(getattr(models, name))
        for name in ("PositiveIntegerField", "PositiveSmallIntegerField", "TextField")
    )


class DeclaredColumn(Field[Set, Get]):
    """A column of a form that people fill in; a nullable one may stay unanswered.

    `words` name it in a sentence; `label` its box, where capitals do not make it of the words; `hint` stands under it.
    `heading` names it where it stands among others, in a list or a history, if the label does not.
    `needed` is ALWAYS, or the name of an attribute of the row that makes it needed: without an answer the row is then
    incomplete. `asked_for` says what is missing, where the words do not.
    `favourable` is the direction in which a change is for the better; "source": any change asks where it comes from.
    `why` says what makes it so.
    `method` names the column that says how it was obtained.
    `default_stands`: an empty box stands for the default. Any other column with a default has to be answered.
    """

    plain: ClassVar[type["Field[Any, Any]"]]

    def __init__(
        self,
        words: str,
        *,
        label: str = "",
        heading: str = "",
        hint: str = "",
        needed: str = "",
        asked_for: str = "",
        favourable: Favourable = "",
        why: str = "",
        method: str = "",
        default_stands: bool = False,
        null: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(words, null=null, **{"blank": null, **kwargs}, help_text=hint)
        self.words = words
        self.label = label or capfirst(words)
        self.heading = heading or self.label
        self.needed = needed
        self.asked_for = asked_for
        self.favourable: Favourable = favourable
        self.why = why
        self.method = method
        self.default_stands = default_stands

    @property
    def is_asked_at_first(self) -> bool:
        """Whether a new row has to be given an answer in spite of the column's default."""
        return self.has_default() and not (self.blank or self.default_stands or self.needed)

    def is_needed(self, row: models.Model) -> bool:
        return self.needed == ALWAYS or bool(self.needed and getattr(row, self.needed))

    def deconstruct(self) -> Any:
        name, _, args, kwargs = super().deconstruct()
        for of_no_migration in ("verbose_name", "help_text", "choices"):
            kwargs.pop(of_no_migration, None)
        return name, f"django.db.models.{self.plain.__name__}", args, kwargs

    def clone(self) -> Any:
        """Django's own field: what the state of migrations holds."""
        _, _, args, kwargs = self.deconstruct()
        return self.plain(*args, **kwargs)

    def form_words(self) -> dict[str, Any]:
        return {"label": self.label, "help_text": str(self.help_text), "required": self.is_asked_at_first}


class BoundedColumn(DeclaredColumn[Set, Get]):
    """A number between bounds in its stored unit; `above` keeps the lower bound itself out.

    `check` names a constraint of the model's Meta that holds these bounds, beside what its condition says already.
    With a `refusal` the constraint is the column's own, "%(column)s" in `check` its name: it says this when broken.
    """

    below: float | None = None

    def __init__(
        self,
        words: str,
        *,
        min_value: float | None = None,
        above: float | None = None,
        max_value: float | None = None,
        check: str = "",
        refusal: str = "",
        null: bool = False,
        **kwargs: Any,
    ) -> None:
        if min_value is not None and above is not None:
            raise ValueError("a column has either a min_value or one that it lies above")
        self.min_value, self.above, self.max_value = min_value, above, max_value
        self.check_name, self.refusal = check, refusal
        super().__init__(words, null=null, **kwargs)

    @property
    def bounds(self) -> Mapping[str, float]:
        """Bounds by the lookup that holds them."""
        named = {"gt": self.above, "gte": self.min_value, "lt": self.below, "lte": self.max_value}
        return {lookup: bound for lookup, bound in named.items() if bound is not None}

    def holds(self, value: float) -> bool:
        """Whether a value lies within the bounds."""
        return (
            (self.min_value is None or value >= self.min_value)
            and (self.above is None or value > self.above)
            and (self.below is None or value < self.below)
            and (self.max_value is None or value <= self.max_value)
        )

    def within_bounds(self) -> Q:
        """The bounds as a condition; an unanswered column is within them."""
        within = Q(**{f"{self.name}__{lookup}": bound for lookup, bound in self.bounds.items()})
        return Q(**{f"{self.name}__isnull": True}) | within if self.null else within

    def contribute_to_class(self, cls: type[models.Model], name: str, private_only: bool = False) -> None:
        super().contribute_to_class(cls, name, private_only)
        if not self.check_name:
            return
        if self.refusal:
            own = self.check_name % {"column": name}
            check = models.CheckConstraint(
                name=own, condition=self.within_bounds(), violation_error_message=self.refusal
            )
            cls._meta.constraints = [*cls._meta.constraints, check]
            return
        constraint = next((each for each in cls._meta.constraints if each.name == self.check_name), None)
        if not isinstance(constraint, models.CheckConstraint) or not isinstance(constraint.condition, Q):
            raise LookupError(f"{cls.__name__} has no CHECK {self.check_name!r} for {name}")
        constraint.condition &= self.within_bounds()


class QuantityColumn(BoundedColumn[Set, Get], FloatField[Set, Get]):
    """A figure with a unit, stored in that of its kind; `noun` ends the message of a bound ("At most 30° of lean.").

    A bearing lies from 0 up to 360 degrees and has no other bounds.
    """

    plain = models.FloatField

    def __init__(self, words: str, *, kind: str, noun: str = "", null: bool = False, **kwargs: Any) -> None:
        self.kind, self.noun = kind, noun
        if kind == "bearing":
            self.below = 360.0
            kwargs["min_value"] = 0.0
        super().__init__(words, null=null, **kwargs)

    @property
    def limits(self) -> Limits:
        bound = self.min_value if self.above is None else self.above
        return Limits(min_value=bound, max_value=self.max_value, exclusive=self.above is not None, noun=self.noun)

    def formfield(self, **kwargs: Any) -> Any:
        words = {**self.form_words(), **kwargs}
        if self.kind == "bearing":
            return BearingField(**words)
        limits = self.limits
        return QuantityField(
            kind=self.kind,
            min_value=limits.min_value,
            max_value=limits.max_value,
            min_exclusive=limits.exclusive,
            noun=limits.noun,
            **words,
        )


class WholeColumn(BoundedColumn[Set, Get]):
    """A whole number from `min_value`, or just above `above`, to `max_value`.

    `box_max` catches slips of the hand where nothing is refused for good: no box and no list takes more.
    `counted` is what it counts, as it stands behind the number.
    """

    def __init__(self, words: str, *, box_max: int = 0, counted: str = "", null: bool = False, **kwargs: Any) -> None:
        self.box_max, self.counted = box_max, counted
        super().__init__(words, null=null, **kwargs)

    @property
    def typed_bounds(self) -> tuple[int, int]:
        """The smallest and the largest number that a box takes. Raises ValueError for a column without such bounds."""
        min_value = self.min_value if self.above is None else self.above + 1
        box_max = self.box_max or self.max_value
        if min_value is None or not box_max:
            raise ValueError(f"{self.name} is asked for and has no bounds")
        return int(min_value), int(box_max)

    def formfield(self, **kwargs: Any) -> Any:
        words = {**self.form_words(), **kwargs}
        return whole_number(words.pop("label"), *self.typed_bounds, **words)


class CountColumn(WholeColumn[Set, Get], PositiveSmallIntegerField[Set, Get]):
    """A whole number up to some thousands."""

    plain = models.PositiveSmallIntegerField


class LargeCountColumn(WholeColumn[Set, Get], PositiveIntegerField[Set, Get]):
    """A whole number up to millions."""

    plain = models.PositiveIntegerField


class ChoiceColumn(DeclaredColumn[Set, Get], CharField[Set, Get]):
    """One of a few answers, shown as tiles. Without a default of its own it starts unanswered."""

    plain = models.CharField

    def __init__(self, words: str, answers: type[models.TextChoices], *, max_length: int, **kwargs: Any) -> None:
        self.answers = answers
        unanswered: dict[str, Any] = {} if "default" in kwargs else {"blank": True, "default": ""}
        super().__init__(words, choices=answers.choices, max_length=max_length, **unanswered, **kwargs)

    def formfield(self, **kwargs: Any) -> Any:
        words = {**self.form_words(), **kwargs}
        return answer(self.answers, words.pop("label"), **words)


class FlagColumn(DeclaredColumn[Set, Get], BooleanField[Set, Get]):
    """A box to tick."""

    plain = models.BooleanField

    @property
    def is_asked_at_first(self) -> bool:
        """Never: a box that is not ticked is an answer."""
        return False

    def formfield(self, **kwargs: Any) -> Any:
        words = {**self.form_words(), **kwargs}
        return forms.BooleanField(**words, initial=self.get_default())


class ListedColumn(DeclaredColumn[Set, Get], CharField[Set, Get]):
    """One code of many, picked from a list, or empty where none is stated."""

    plain = models.CharField

    def __init__(self, words: str, codes: Sequence[tuple[str, str]], *, max_length: int, **kwargs: Any) -> None:
        super().__init__(words, choices=codes, max_length=max_length, blank=True, default="", **kwargs)
        self.codes = tuple(codes)

    def formfield(self, **kwargs: Any) -> Any:
        asked = {**self.form_words(), **kwargs}
        return form_boxes.choice_field(asked.pop("label"), self.codes, **asked)


class LineColumn(DeclaredColumn[Set, Get], CharField[Set, Get]):
    """A line of words; it has to be written unless it is `blank`."""

    plain = models.CharField

    def __init__(self, words: str, *, max_length: int, **kwargs: Any) -> None:
        super().__init__(words, max_length=max_length, **kwargs)
        self.longest = max_length

    def formfield(self, **kwargs: Any) -> Any:
        asked = {**self.form_words(), "required": not self.blank, **kwargs}
        return form_boxes.char_field(asked.pop("label"), longest=self.longest, **asked)


class TextColumn(DeclaredColumn[Set, Get], TextField[Set, Get]):
    """Several lines of words, or none."""

    plain = models.TextField

    def __init__(self, words: str, **kwargs: Any) -> None:
        super().__init__(words, **{"blank": True, "default": "", **kwargs})

    def formfield(self, **kwargs: Any) -> Any:
        asked = {**self.form_words(), **kwargs}
        return form_boxes.text_field(asked.pop("label"), **asked)


class DayColumn(DeclaredColumn[Set, Get], DateField[Set, Get]):
    """A day."""

    plain = models.DateField

    def formfield(self, **kwargs: Any) -> Any:
        asked = {**self.form_words(), **kwargs}
        return form_boxes.date_field(asked.pop("label"), **asked)


@cache
def declared_columns(model: type[models.Model]) -> tuple[DeclaredColumn[Any, Any], ...]:
    """The columns of a model that say all of themselves, in the order they are declared."""
    return tuple(field for field in model._meta.concrete_fields if isinstance(field, DeclaredColumn))

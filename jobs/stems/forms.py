"""The form of a stem as measured. Nothing is answered beforehand."""

import copy
import math
from collections.abc import Iterable
from typing import Any, ClassVar

from django import forms

from crewlog.quantities.fields import UnitForm
from crewlog.stale.forms import EditedForm, opened_of, put_back, with_theirs
from crewlog.web.form_boxes import offer_choices
from crewlog.web.generics import ModelForm
from jobs.models import CrownPart, CrownState, Job, Stem, StemSection
from jobs.models.shown_values import STEM_NAMES, stem_values
from jobs.models.stem import THICKEST_M, MeasuredAs
from jobs.models.values import Facts
from jobs.plans.row_words import rows_words
from jobs.stems.row_forms import MAX_CROWN_PARTS, MAX_SECTIONS, CrownRow, SectionRow
from jobs.stems.species import all_species
from jobs.web.felling_forms import say_felling_words
from jobs.web.form_fields import MomentField, PersonField, give_company
from jobs.web.typed_rows import Rows
from jobs.wording.unit_formatter import UnitFormatter


class StemForm(EditedForm, UnitForm, ModelForm[Stem]):
    """Species, size, lean, crown and soundness of one stem, with who measured each and how."""

    edited = "this stem"
    row_labels: ClassVar[dict[str, str]] = {"sections": "Sizes along the stem", "crown_parts": "Parts of the crown"}
    row_prefixes: ClassVar[dict[str, tuple[str, ...]]] = {"sections": ("sections-",), "crown_parts": ("crown-",)}

    species = forms.ChoiceField(label="Species", required=False)
    measured_by = PersonField(label="Measured by", required=False)
    measured_at = MomentField(label="Measured at", required=False)

    class Meta:
        model = Stem
        fields = tuple(name for name in STEM_NAMES if name != "felled_on")
        labels = {"label": "Number or name"}

    def __init__(
        self,
        data: Any = None,
        *,
        job: Job,
        unit_system: str,
        instance: Stem | None = None,
        sections: Iterable[StemSection] = (),
        crown_parts: Iterable[CrownPart] = (),
    ) -> None:
        if instance is not None and instance.pk is not None:
            self.opened = opened_of(f"stem:{instance.pk}", data, lambda: stem_values(instance))
            values = self.opened.values
            if data is not None and values is not None:
                put_back(instance, values)
                sections = [StemSection(stem=instance, **row) for row in values["sections"]]
                crown_parts = [CrownPart(stem=instance, **row) for row in values["crown_parts"]]
                if self.opened.takes_theirs:
                    theirs = StemForm(
                        job=job,
                        unit_system=unit_system,
                        instance=copy.copy(instance),
                        sections=sections,
                        crown_parts=crown_parts,
                    )
                    data = with_theirs(data, self.opened, theirs.in_order, self.row_prefixes)
        super().__init__(data, instance=instance, unit_system=unit_system)
        say_felling_words(self)
        self.job = job
        give_company(self, job.company)
        species = [(each.code, each.common_name) for each in all_species()]
        offer_choices(self, "species", [("", "Not chosen"), *species])
        stored = list(sections)
        if not stored:
            self.initial["measured_as"] = ""
        as_girth = self.instance.measured_as == MeasuredAs.GIRTH
        self.sections = Rows(
            SectionRow,
            prefix="sections",
            count=MAX_SECTIONS,
            unit_system=unit_system,
            data=data,
            min_open=4,
            initial=[
                {"height_m": row.height_m, "size_m": row.diameter_m * (math.pi if as_girth else 1.0)} for row in stored
            ],
        )
        self.crown_parts = Rows(
            CrownRow,
            prefix="crown",
            count=MAX_CROWN_PARTS,
            unit_system=unit_system,
            data=data,
            initial=[{name: getattr(part, name) for name in CrownRow.needed} for part in crown_parts],
        )

    def clean_label(self) -> str:
        label: str = self.cleaned_data["label"]
        if self.job.pk and self.job.stems.filter(label=label).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError("This job has a stem of that name.")
        return label

    def clean(self) -> None:
        super().clean()
        data = self.cleaned_data
        rows_hold = all([self.sections.is_valid(), self.crown_parts.is_valid()])
        if self.sections.filled() and not data.get("measured_as") and "measured_as" not in self.errors:
            self.add_error("measured_as", "Say whether the sizes are diameters or girths.")
        if rows_hold:
            self._check_sections()
            self._check_crown()
        if not rows_hold or any(row.errors for row in (*self.sections, *self.crown_parts)):
            # the rows say what is wrong, each by its box; the form itself must not pass
            self.rows_are_wrong = True

    rows_are_wrong = False

    @property
    def in_order(self) -> list[forms.BaseForm]:
        """The form and its rows, for the summary of errors."""
        return [self, *self.sections, *self.crown_parts]

    def is_valid(self) -> bool:
        return super().is_valid() and not self.rows_are_wrong

    def _check_sections(self) -> None:
        below: float | None = None
        for row in self.sections.filled():
            height, size = row.cleaned_data["height_m"], row.cleaned_data["size_m"]
            if below is not None and height <= below:
                row.add_error("height_m", "Heights rise from row to row. This one is not above the one before.")
            if self._diameter(size) > THICKEST_M:
                row.add_error("size_m", "Thicker than the figures cover.")
            below = height

    def _check_crown(self) -> None:
        parts, state = self.crown_parts.filled(), self.cleaned_data.get("crown")
        if parts and state == CrownState.BARE:
            self.add_error("crown", "A bare spar has no crown parts. Empty the rows, or choose the crown.")
        elif state == CrownState.CROWN and not parts:
            self.crown_parts.forms[0].add_error("mass_kg", "Give at least one part of the crown.")

    def _diameter(self, size_m: float) -> float:
        return size_m / math.pi if self.cleaned_data.get("measured_as") == MeasuredAs.GIRTH else size_m

    def facts(self) -> Facts:
        """The stem's own fields for the service; after is_valid()."""
        facts = {name: self.cleaned_data[name] for name in self.Meta.fields}
        if not facts["measured_as"]:
            del facts["measured_as"]  # no sizes yet, so nothing to be a diameter or a girth
        return facts

    def words_of(self, name: str, value: Any) -> str:
        if name in self.row_labels:
            return rows_words(name, value, UnitFormatter(self.unit_system))
        return super().words_of(name, value)

    def section_rows(self) -> list[StemSection]:
        """The sizes along the stem as unsaved rows, after is_valid()."""
        return [
            StemSection(
                stem=self.instance,
                height_m=row.cleaned_data["height_m"],
                diameter_m=self._diameter(row.cleaned_data["size_m"]),
            )
            for row in self.sections.filled()
        ]

    def crown_rows(self) -> list[CrownPart]:
        """The parts of the crown as unsaved rows, after is_valid()."""
        values = [{name: row.cleaned_data[name] for name in CrownRow.needed} for row in self.crown_parts.filled()]
        return [CrownPart(stem=self.instance, **each) for each in sorted(values, key=lambda each: each["height_m"])]

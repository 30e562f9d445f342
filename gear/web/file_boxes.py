"""A form field for a photograph or a document, which a refused form need not be given again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from crewlog.errors import RuleBroken
from crewlog.files.documents import Document
from crewlog.files.limits import DOCUMENT_TYPES, DOCUMENT_WORDS, PHOTOGRAPH_TYPES, PHOTOGRAPH_WORDS
from crewlog.files.photographs import Photograph
from crewlog.files.uploads import either_from, photograph_from
from crewlog.models import Membership
from gear.files.services import held_file, hold_upload
from gear.models import PendingUpload

Kept = Photograph | Document


@dataclass(frozen=True, slots=True)
class Picked:
    """What the box sent: a file chosen now, or one that is held from before and whether it is to be left out."""

    upload: UploadedFile[Any] | None
    held: str
    leave_out: bool


class HeldFileInput(forms.FileInput):
    """A file box that also shows the file held from before."""

    template_name = "django/forms/widgets/held_file.html"
    has_own_box = True
    held: PendingUpload | None = None

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        context["widget"]["held"] = self.held
        return context

    def value_from_datadict(self, data: Mapping[str, Any], files: Any, name: str) -> Picked:
        return Picked(files.get(name), data.get(f"{name}-held", ""), bool(data.get(f"{name}-leave-out")))

    def value_omitted_from_data(self, data: Mapping[str, Any], files: Any, name: str) -> bool:
        return name not in files and f"{name}-held" not in data


class HeldFileField(forms.Field):
    """Cleans to a read Photograph or Document. `member` is whose held uploads it may take."""

    def __init__(self, *, documents: bool = False, camera: bool = False, **kwargs: Any) -> None:
        types = f"{PHOTOGRAPH_TYPES},{DOCUMENT_TYPES}" if documents else PHOTOGRAPH_TYPES
        attrs = {"accept": types} | ({"capture": "environment"} if camera else {})
        words = f"{PHOTOGRAPH_WORDS} Or {DOCUMENT_WORDS}" if documents else PHOTOGRAPH_WORDS
        kwargs.setdefault("help_text", words)
        super().__init__(widget=HeldFileInput(attrs=attrs), **kwargs)
        self.documents = documents
        self.member: Membership | None = None
        self.held: PendingUpload | None = None

    def clean(self, value: Any) -> Kept | None:
        picked = value or Picked(None, "", False)
        self.held = None if picked.leave_out else self.held_before(picked.held)
        try:
            if picked.upload is not None:
                return either_from(picked.upload) if self.documents else photograph_from(picked.upload)
            if self.held is not None:
                return held_file(self.held)
        except RuleBroken as fault:
            raise ValidationError(fault.message, code=fault.code) from fault
        if picked.held and not picked.leave_out:
            raise ValidationError("The stored file is missing. Choose it again.", code="held-file-gone")
        if self.required:
            raise ValidationError(self.error_messages["required"], code="required")
        return None

    def held_before(self, key: str) -> PendingUpload | None:
        """The member's own held upload. Queries when there is a key."""
        try:
            wanted = UUID(key)
        except ValueError:
            return None
        if self.member is None:
            return None
        found: PendingUpload | None = PendingUpload.objects.of(self.member).filter(pk=wanted).first()
        return found

    def has_changed(self, initial: Any, data: Any) -> bool:
        return isinstance(data, Picked) and data.upload is not None


def file_fields(form: forms.BaseForm) -> dict[str, HeldFileField]:
    return {name: field for name, field in form.fields.items() if isinstance(field, HeldFileField)}


def let_hold(form: forms.BaseForm, member: Membership) -> None:
    """Tell the form's file boxes whose held uploads they may take."""
    for field in file_fields(form).values():
        field.member = member


def hold_files(form: forms.BaseForm, member: Membership, *, shown_again: bool = False) -> None:
    """Hold what was chosen on a form that was refused or is shown again for another reason, and show it there."""
    if not form.is_bound or not (form.errors or shown_again):
        return
    for name, field in file_fields(form).items():
        file = form.cleaned_data.get(name)
        if file is not None and (field.held is None or field.held.sha256 != file.sha256):
            field.held = hold_upload(actor=member, file=file)
        field.widget.held = field.held

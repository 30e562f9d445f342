"""A photograph or a document of an item, as a form."""

from typing import Any

from django import forms

from crewlog.models import Membership
from gear.web.file_boxes import HeldFileField, let_hold
from gear.web.form_fields import char_field


class FileForm(forms.Form):
    """A photograph or a document of an item."""

    file = HeldFileField(
        label="Photograph or PDF", documents=True, error_messages={"required": "Choose a photograph or a PDF."}
    )
    caption = char_field("What it shows", longest=200, help_text="Without names of people")

    def __init__(self, *args: Any, member: Membership, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        let_hold(self, member)

    def facts(self) -> dict[str, Any]:
        return {"upload": self.cleaned_data["file"], "caption": self.cleaned_data["caption"]}

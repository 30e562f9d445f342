"""The short forms of the store: find a tag, log an event, take out of use, retire, resolve a recall."""

from collections.abc import Sequence
from typing import Any

from django import forms

from crewlog.fields import QuantityField, UnitForm
from crewlog.models import Membership
from gear.classes import CLASS_CHOICES
from gear.event_kinds import EVENT_KINDS
from gear.forms.fields import day, one_of, text, tiles, words
from gear.forms.files import HeldFileField, let_hold
from gear.models import Disposal, GearItem, Recall
from gear.models.round import ROUND_KINDS
from gear.rules import RecallNotice
from gear.turns import DUE_WINDOWS

WHAT_HAPPENED = [(kind.code, kind.words) for kind in EVENT_KINDS if kind.by_hand]
WHAT_FOLLOWS = {
    kind.code: "Goes out of use until it is examined"
    if kind.takes_out
    else "Needs an examination before the next use"
    if kind.asks_examination
    else "Stays in service"
    if kind.loaded is False
    else "Unfit until the marking is renewed and examined"
    for kind in EVENT_KINDS
    if kind.by_hand
}
LOADED = [("yes", "Loaded"), ("no", "Not loaded"), ("unknown", "Not known")]


class FinderForm(forms.Form):
    """What the register is narrowed to; every part may be missing or nonsense, the list still shows."""

    q = words("Tag or words", longest=120)
    c = one_of("Class", CLASS_CHOICES, empty="All classes")
    p = forms.ChoiceField(label="Place", required=False)
    due = one_of("Falls due", [(str(days), f"Within {days} days") for days in DUE_WINDOWS], empty="Any day")

    def __init__(self, *args: Any, places: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["p"].choices = [("", "All places"), *((place, place) for place in places)]  # type: ignore[attr-defined]


class FindTagForm(forms.Form):
    tag = words(
        "Tag",
        required=True,
        longest=200,
        help_text="Type it, or scan the code on the item into the box",
        widget=forms.TextInput(attrs={"autofocus": True, "autocapitalize": "characters", "autocomplete": "off"}),
    )


class EventForm(UnitForm, forms.Form):
    kind = tiles("What happened", WHAT_HAPPENED, hints=WHAT_FOLLOWS)
    happened_on = day("On", required=True)
    description = text("How, and what you saw", required=True)
    loaded = tiles("Was the gear loaded", LOADED, required=False)
    load_n = QuantityField(
        label="Load, where it was read or can be estimated",
        kind="force",
        required=False,
        min_value=0.0,
        min_exclusive=True,
    )
    photo = HeldFileField(label="Photograph of it", camera=True, required=False)
    from_paper = forms.BooleanField(label="Entered from paper", required=False)

    def __init__(self, *args: Any, member: Membership, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        let_hold(self, member)

    def facts(self) -> dict[str, Any]:
        data = self.cleaned_data
        return {
            "photograph": data["photo"],
            "kind": data["kind"],
            "happened_on": data["happened_on"],
            "description": data["description"],
            "gear_loaded": {"yes": True, "no": False}.get(data["loaded"]),
            "load_n": data["load_n"],
            "from_paper": data["from_paper"],
        }


class FileForm(forms.Form):
    """A photograph or a document of an item."""

    file = HeldFileField(
        label="Photograph or PDF", documents=True, error_messages={"required": "Choose a photograph or a PDF."}
    )
    caption = words("What it shows", longest=200, help_text="Without names of people")

    def __init__(self, *args: Any, member: Membership, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        let_hold(self, member)

    def facts(self) -> dict[str, Any]:
        return {"upload": self.cleaned_data["file"], "caption": self.cleaned_data["caption"]}


class OutOfUseForm(forms.Form):
    because = words("Why", required=True, longest=180)


class RetireForm(forms.Form):
    because = words("Why", required=True, longest=200, help_text="What was found, and where on it")
    disposal = tiles("What becomes of it", Disposal.choices)
    retired_on = day("Retired on", required=True)
    sure = forms.BooleanField(
        label="Retire it permanently",
        help_text="This cannot be undone, and the tag is never reused",
        error_messages={"required": "Tick this to retire it."},
    )


class MistakeForm(forms.Form):
    because = words("What was wrong with the entry", required=True, longest=200, help_text="Entered twice, wrong class")


class ResolveForm(forms.Form):
    recall = forms.ModelChoiceField(label="Recall", queryset=Recall.objects.none(), empty_label=None)
    because = words(
        "Why it is not affected", required=True, longest=200, help_text="Batch or serial read, or mended by the maker"
    )


class RecallForm(forms.Form):
    maker = words("Maker", required=True, longest=80)
    gear_classes = forms.MultipleChoiceField(
        label="Classes it concerns",
        choices=CLASS_CHOICES,
        widget=forms.CheckboxSelectMultiple,
        help_text="A recall of ropes does not affect the same maker's connectors",
        error_messages={"required": "Tick the classes the notice is about; all of them where it names none."},
    )
    maker_model = words("Model", longest=80, help_text="Empty: every model")
    batches = words("Batches", longest=400, help_text="Parted by commas. Empty: every batch")
    serial_from = words("First serial number", longest=60)
    serial_to = words("Last serial number", longest=60)
    announced_on = day("Announced on", required=True)
    source = words("Where it was announced", required=True, longest=200)
    description = text("What to do")

    def facts(self) -> dict[str, Any]:
        data = dict(self.cleaned_data)
        data["batches"] = tuple(data["batches"].split(","))
        data["gear_classes"] = tuple(data["gear_classes"])
        return data

    def notice(self) -> RecallNotice:
        """What is recalled, for looking up what it may cover; after is_valid()."""
        data = self.cleaned_data
        return RecallNotice(
            maker=data["maker"].strip(),
            maker_model=data["maker_model"].strip(),
            batches=tuple(batch.strip() for batch in data["batches"].split(",") if batch.strip()),
            serial_from=data["serial_from"].strip(),
            serial_to=data["serial_to"].strip(),
            gear_classes=tuple(data["gear_classes"]),
        )


class PickForm(forms.Form):
    """What the items to tick are narrowed to."""

    pick = forms.CharField(widget=forms.HiddenInput, required=False, initial="1")
    q = words("Tag or words", longest=120)


class StartRoundForm(forms.Form):
    """Which of the items go into a round, and what kind of inspection it is."""

    kind = tiles("Kind of inspection", ROUND_KINDS)
    item = forms.MultipleChoiceField(error_messages={"required": "Tick at least one item."})

    def __init__(self, *args: Any, items: Sequence[GearItem], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.keys = [str(item.pk) for item in items]
        self.fields["item"].choices = [(str(item.pk), item.tag) for item in items]  # type: ignore[attr-defined]

    def ticked(self, *, all_first: bool) -> set[str]:
        """The items whose box is ticked: as sent, else all or none."""
        if self.is_bound:
            return set(self.data.getlist("item"))  # type: ignore[attr-defined]
        return set(self.keys) if all_first else set()

"""Every shared part on one page, with invented figures; rendered by test_look and by hand for screenshots."""

from pathlib import Path
from typing import Any

from django import forms
from django.contrib.messages import constants
from django.contrib.messages.storage.base import Message
from django.core.paginator import Paginator
from django.template import engines
from django.test import RequestFactory

from crewlog.models import Company, Membership, Person, PersonDetails, Role
from crewlog.web.ui_rows import Column, Cure, Figure, FindingRow, Jump
from crewlog.web.widgets import TickTiles, Tiles

SOURCE = Path(__file__).with_name("gallery.html")


class Examination(forms.Form):
    tag = forms.ChoiceField(
        label="Tag readable and the right rope",
        help_text="Blue tracer, 14 mm, sewn eye at one end",
        choices=[("good", "Good"), ("remark", "Remark"), ("fail", "Fail")],
        widget=Tiles,
    )
    stitching = forms.ChoiceField(
        label="Eye and stitching",
        help_text="No cut or pulled thread; thimble seated",
        choices=[("good", "Good"), ("remark", "Remark"), ("fail", "Fail")],
        widget=Tiles,
        error_messages={"required": "Choose one"},
    )
    saw = forms.CharField(label="What you saw", widget=forms.Textarea(attrs={"rows": 3}), required=False)
    verdict = forms.ChoiceField(
        choices=[("fit", "Fit"), ("remark", "Fit, with a remark"), ("out", "Take out of use"), ("retire", "Retire")],
        widget=Tiles(
            hints={
                "fit": "Stays in service",
                "remark": "Stays in service; to be mended by a date",
                "out": "Until a later examination returns it",
                "retire": "Permanent; it cannot be undone",
            }
        ),
    )
    mend_by = forms.DateField(label="Mend by", widget=forms.DateInput(attrs={"type": "date"}))
    place = forms.ChoiceField(label="Place", choices=[("van", "Van 1, bag 3"), ("cage", "Cage, shelf 2")])
    photograph = forms.FileField(label="Photograph", required=False)
    uses = forms.MultipleChoiceField(
        label="Used for", choices=[("pull", "Pulling"), ("lift", "Lowering")], widget=TickTiles, required=False
    )
    frozen = forms.ChoiceField(
        label="Frozen wood", choices=[("yes", "Yes"), ("no", "No"), ("unknown", "Not known")], widget=forms.RadioSelect
    )
    told = forms.BooleanField(label="The employer was told", help_text="Say when and how below", required=False)


def member(role: Role = Role.CREW_LEAD) -> Membership:
    company = Company(name="Sallow Reach Tree Works")
    person = Person(company=company)
    person.details = PersonDetails(person=person, name="Jonas Pellaw")
    return Membership(company=company, person=person, role=role)


def request(theme: str = "device", path: str = "/gallery/", who: Membership | None = None):
    asked: Any = RequestFactory().get(path, {"q": "sling"})
    asked.member, asked.theme = who, theme
    return asked


def context() -> dict:
    form = Examination(
        {
            "tag": "good",
            "verdict": "remark",
            "place": "van",
            "saw": "Fuzzed over 0.6 m.",
            "uses": ["pull"],
            "frozen": "no",
        }
    )
    return {
        "form": form,
        "more": Examination({"place": "van"}, prefix="more"),
        "figures": [
            Figure("Needed in the line", "2.90", "kN", "upright, margin 1.5"),
            Figure("At the hand", "680", "N", "three hold 670 N", is_wrong=True),
            Figure("Pre-tension", "1.44", "kN", "from 0.62 to 3.08 kN"),
            Figure("Resets", "3", note="haul 25.7 m in all"),
        ],
        "findings": [
            FindingRow(
                "refused",
                "Too few people",
                "Three people hold 670 N between them. The pull takes 680 N at the hand.",
                (
                    Cure("Raise the line to 8.5 m", "650 N at the hand.", name="try", value="height"),
                    Cure("Add a fourth person and a load cell", "850 N from four.", href="#crew"),
                ),
            ),
            FindingRow("caution", "Pre-tension can overshoot", "Three people hauling hard reach 8.65 kN."),
            FindingRow(
                "ok", "Fourteen checks hold", "Among them: crew outside the fall zone, line angle 18.9° of 45°."
            ),
        ],
        "jumps": [Jump("#moving", "B-04 is quarantined"), Jump("#anchor", "S-09, inspection lapses")],
        "columns": [
            Column("Tag", href="?sort=tag", sorted="ascending"),
            Column("Item"),
            Column("Rated", is_end=True),
            Column("Next due"),
            Column("State"),
            Column("Place"),
        ],
        "page": Paginator(range(320), 50).page(2),
        "messages": [
            Message(constants.SUCCESS, "R-07 examined and recorded."),
            Message(constants.WARNING, "Sheet 0409-2 was withdrawn."),
            Message(constants.ERROR, "B-04 was not put on the job: it is out of use."),
        ],
        "csrf_token": "not-a-token",
    }


def render(theme: str = "device") -> str:
    page = engines["django"].from_string(SOURCE.read_text(encoding="utf-8"))
    return page.render(context(), request(theme, who=member()))

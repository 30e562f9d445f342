"""Equal submissions of one form at once. As writer_trials."""

import datetime as dt
import json
import re
from functools import partial
from typing import Any

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from crewlog.models import Company, Role, SentForm
from gear.models import GearEvent, Inspection, RoundDraftAnswer
from jobs.models import PlanRevision
from tests.factories.gear import ItemFactory, examiner
from tests.factories.jobs import (
    JobFactory,
    PlanFactory,
)
from tests.gear.rounds import all_good, opened
from tests.trials.at_once import at_once
from tests.trials.writer_trials import Figures, chain_faults, company_for, errors_in, member_of
from tests.web.posting import as_posted


def try_once(writers: int) -> Figures:
    """One form sent by all at once: an inspection, an event, a revision; one record each, one answer for all."""
    company = company_for("equal forms")
    owner = member_of(company, Role.OWNER, "Owner")
    item = ItemFactory(company=company, tag="ONCE")
    plan = PlanFactory(complete=True, stem__job=JobFactory(company=company, lead=owner.person))
    stem = [plan.stem_id]
    forms = {
        "inspections": (reverse("item_inspect", args=[item.tag]) + "?kind=pre_use",) * 2 + (Inspection,),
        "events": (reverse("item_event", args=[item.tag]),) * 2 + (GearEvent,),
        "revisions": (reverse("plan", args=stem), reverse("plan_keep", args=stem), PlanRevision),
    }
    figures: Figures = {"wrong": []}
    for name, (page, where, model) in forms.items():
        data, before = filled(client_of(owner), page), model._default_manager.count()
        outcomes = at_once(writers, partial(send, owner, where, data))
        figures["wrong"] += errors_in(outcomes)
        answers = {outcome.words for outcome in outcomes if not outcome.error}
        figures[name] = model._default_manager.count() - before
        if figures[name] != 1 or len(answers) != 1 or next(iter(answers))[0] != 302:
            figures["wrong"].append(f"{name}: {figures[name]} recorded, answers {sorted(map(str, answers))}")
    figures["keys"] = SentForm.objects.count()
    sync_answers(company, writers, figures)
    figures["wrong"] += chain_faults(company)
    return figures


def sync_answers(company: Company, writers: int, figures: Figures) -> None:
    """The answers of a round, which a script sends as JSON: equal ones are one answer, new to one sender alone."""
    inspector = examiner(member_of(company, Role.INSPECTOR, "Inspector"))
    rope = ItemFactory(company=company, rope=True, tag="ROUND")
    draft = opened(inspector, rope)
    now = timezone.now().isoformat()
    answers = {name: [value, now] for name, value in all_good(rope).items()}
    body = json.dumps({"device": "phone", "now": now, "offset_min": 0, "items": {"1": {"answers": answers}}})
    where = reverse("round_answers", args=[draft.pk])

    def work(number: int) -> tuple[int, int]:
        answer = client_of(inspector).post(where, body, content_type="application/json")
        return answer.status_code, answer.json()["kept"]

    outcomes = at_once(writers, work)
    figures["wrong"] += errors_in(outcomes)
    figures["answers"] = RoundDraftAnswer.objects.filter(row__draft=draft).count()
    told = sorted(outcome.words for outcome in outcomes if not outcome.error)
    if figures["answers"] != len(answers) or told != [(200, 0)] * (writers - 1) + [(200, len(answers))]:
        figures["wrong"].append(f"answers: {figures['answers']} of {len(answers)} kept, told {told}")


def client_of(member: Any) -> Client:
    client = Client()
    client.force_login(member.user, backend="allauth.account.auth_backends.AuthenticationBackend")
    return client


def filled(client: Client, page: str) -> dict[str, Any]:
    """The page's form as it stands, every point of a checklist good, and what an event needs."""
    shown = client.get(page)
    data: dict[str, Any] = {}
    form = shown.context["form"]
    for each in getattr(form, "in_order", [form]):
        data |= as_posted(each)
        for bound in each:
            if bound.html_name.startswith("point"):
                data[bound.html_name] = next(str(code) for code, _ in bound.field.choices if code)
    data["form_key"] = re.search(r'name="form_key" value="([^"]+)"', shown.content.decode())[1]
    if "event" in page:
        data |= {"kind": "drop", "happened_on": f"{dt.date(2026, 11, 20)}", "loaded": "no", "description": "4 m"}
    if "inspect" in page:
        data |= {"verdict": "fit", "marking_legible": "on"}
    return data


def send(member: Any, where: str, data: dict[str, Any], _number: int = 0) -> tuple[int, str]:
    answer = client_of(member).post(where, data)
    return answer.status_code, answer.headers.get("Location", "")

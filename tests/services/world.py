"""One company with a row of each kind that a service takes, as short as a refusal needs it."""

import datetime as dt
from dataclasses import dataclass
from typing import Any

from crewlog.evidence import Entry, append_row
from crewlog.models import Company, Hold, Membership, RetentionPeriod, Role
from crewlog.retention.defaults import ensure_default_periods
from gear.models import GearItem, InspectionScheme, ListUpload, RoundDraft, RoundDraftItem, SchemeRule
from jobs.models import Anchor, Duty, Sheet, SheetWithdrawal
from tests.factories.crewlog import CompetenceFactory, LearningFactory, MembershipFactory
from tests.factories.gear import ItemFactory, examined
from tests.factories.jobs import AnchorFactory, PlanFactory, SheetFactory


@dataclass(frozen=True)
class World:
    """A company and its rows, under the names by which the services take them."""

    company: Company
    members: dict[Role, Membership]
    today: dt.date
    item: GearItem
    rope: GearItem
    tackle: GearItem
    draft: RoundDraft
    row: RoundDraftItem
    sheet: Sheet
    duty: Duty
    anchor: Anchor
    withdrawal: SheetWithdrawal
    rows: dict[str, Any]

    @property
    def person(self):
        return self.members[Role.CREW].person


def staff(company):
    return {role: MembershipFactory(company=company, role=role) for role in Role}


def make_world(company):
    members, today = staff(company), company.today()
    owner, crew = members[Role.OWNER].person, members[Role.CREW].person
    item = ItemFactory(company=company)
    draft = RoundDraft.objects.create(
        company=company,
        inspector=owner,
        kind="thorough",
        title="Van 1",
        started_at=dt.datetime(2026, 1, 2, tzinfo=dt.UTC),
    )
    sheet = SheetFactory(stem=PlanFactory(stem__job__company=company).stem)
    ensure_default_periods(company)
    entry = Entry(actor=owner)
    return World(
        company=company,
        members=members,
        today=today,
        item=item,
        rope=ItemFactory(company=company, rope=True),
        tackle=ItemFactory(company=company, gear_class="tackle_set", parts_expected=2),
        draft=draft,
        row=RoundDraftItem.objects.create(draft=draft, item=item, position=1),
        sheet=sheet,
        duty=Duty.objects.create(sheet=sheet, duty="lookout", person=crew),
        anchor=AnchorFactory(job=sheet.stem.job),
        withdrawal=append_row(company, entry, SheetWithdrawal(sheet=sheet, reason="Wind")),
        rows={
            "competence": CompetenceFactory(person=crew, skill="hauler"),
            "learning": LearningFactory(person=crew, skill="bollard"),
            "hold": append_row(
                company, entry, Hold(about="person", subject=str(crew.pk), because="claim", placed_by=owner)
            ),
            "period": RetentionPeriod.objects.filter(company=company).first(),
            "inspection": examined(item),
            "scheme": InspectionScheme.objects.for_company(company).first(),
            "rule": SchemeRule.objects.filter(scheme__company=company).first(),
            "upload": ListUpload.objects.create(company=company, member=members[Role.OWNER], name="a", data=b"Tag\n"),
        },
    )

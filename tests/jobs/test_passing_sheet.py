"""A passing sheet that is laid from an earlier build says what one built row by row says."""

import datetime as dt
import re

import pytest
import time_machine
from django.apps import apps
from django.db import connection, transaction

from crewlog.evidence import Entry, append
from crewlog.evidence.verification import verify
from gear.models import GearItem
from tests.factories import replay
from tests.factories.gear import ItemFactory
from tests.factories.jobs import AnchorFactory, built_sheet, passing_sheet
from tests.factories.scenario import codes

pytestmark = pytest.mark.django_db
MADE_UP = re.compile(r"[0-9a-f]{64}|[0-9a-f]{8}-?[0-9a-f]{4}-?[0-9a-f]{4}-?[0-9a-f]{4}-?[0-9a-f]{12}")


@pytest.fixture(autouse=True)
def on_sqlite():
    if connection.vendor != "sqlite":
        pytest.skip("laid on SQLite only")


@pytest.fixture
def replays(monkeypatch):
    """Which sheets were laid again, beginning with none kept."""
    laid, replayed = [], replay.replayed
    monkeypatch.setattr(replay, "WORLDS", {})

    def noted(*args):
        laid.append(replayed(*args))
        return laid[-1]

    monkeypatch.setattr(replay, "replayed", noted)
    return laid


class TakenBackError(Exception):
    """Ends a build whose rows are read and not kept."""


def written_by(build):
    """All rows after a build that is then taken back, and what the sheet handed over says.

    Identities, salts and what is hashed from them are numbered as they come.
    """
    said: list[object] = []
    try:
        with transaction.atomic():
            sheet = build()
            for model in sorted(apps.get_models(), key=lambda m: m._meta.label):
                with connection.cursor() as cursor:
                    cursor.execute(f'SELECT * FROM "{model._meta.db_table}" ORDER BY rowid')  # noqa: S608
                    said += [(model._meta.label, row) for row in cursor.fetchall()]
            job = sheet.stem.job
            for row in (sheet, sheet.stem, sheet.stem.plan, job, job.company, job.lead):
                said.append([(f.attname, str(getattr(row, f.attname))) for f in row._meta.concrete_fields])
            assert not verify(job.company).faults
            raise TakenBackError
    except TakenBackError:
        numbers: dict[str, int] = {}
        return [
            MADE_UP.sub(lambda m: f"<{numbers.setdefault(m[0].replace('-', ''), len(numbers))}>", str(row))
            for row in said
        ]


@pytest.mark.parametrize("has_lead", [True, False])
@time_machine.travel(dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC), tick=False)
def test_laid_sheet_has_the_rows_of_a_built_one(company, lead, replays, has_lead):
    person = lead.person if has_lead else None
    AnchorFactory.reset_sequence(0, force=True)
    built = written_by(lambda: built_sheet(company, reference="0412", **({"lead": person} if has_lead else {})))
    AnchorFactory.reset_sequence(0, force=True)
    first, again = (written_by(lambda: passing_sheet(company, lead=person, reference="0412")) for _ in range(2))
    assert len(replays) == 1
    assert first == built
    assert again == built


def test_laid_sheet_follows_the_records_of_its_own_company(company, lead, inspector, replays):
    written_by(lambda: passing_sheet(company, lead=lead.person))
    append(company, "crewlog.test", Entry(actor=None), body={})  # one more record than when the rows were kept
    sheet = passing_sheet(company, lead=inspector.person)
    assert len(replays) == 1
    assert sheet.stem.job.lead == inspector.person
    assert not verify(company).faults
    assert codes(sheet) == set()


def test_sheet_is_built_where_the_store_has_gear(company, lead, replays):
    written_by(lambda: passing_sheet(company, lead=lead.person))
    ItemFactory(company=company)
    assert codes(passing_sheet(company, lead=lead.person)) == set()
    assert not replays
    assert GearItem.objects.filter(company=company).count() == 15

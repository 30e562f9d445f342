"""Photographs and documents of gear on record: what the chain holds, and what is refused."""

import datetime as dt
import os

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from crewlog.files import keeping
from crewlog.files.photographs import read_photograph
from crewlog.models import Record
from gear.files.services import held_file, hold_upload, store_document, store_photograph, sweep_uploads
from gear.models import PendingUpload, StoredFile
from tests import files
from tests.factories.crewlog import MembershipFactory
from tests.factories.gear import ItemFactory, examined

pytestmark = pytest.mark.django_db


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, tag="R-07")


def test_a_photograph_on_record_carries_the_hash_of_what_is_kept(owner, rope):
    row = store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg()), caption=" Cut at 14 m ")
    content = keeping.path_of(row.sha256).read_bytes()
    assert (row.caption, row.name_given, row.kind) == ("Cut at 14 m", "photo.jpg", "photograph")
    assert len(content) == row.size
    assert row.sha256 in row.record.body
    assert verify(rope.company, files=True).holds


def test_a_document_on_record_is_what_was_brought(owner, rope):
    content = files.pdf()
    row = store_document(actor=owner, item=rope, upload=files.upload(content, "conformity.pdf", "application/pdf"))
    assert keeping.path_of(row.sha256).read_bytes() == content
    assert (row.content_type, row.width_px) == ("application/pdf", None)


def test_a_changed_or_missing_file_breaks_the_verdict(owner, rope):
    row = store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg(colour="#111111")))
    path = keeping.path_of(row.sha256)
    whole = path.read_bytes()
    path.write_bytes(whole + b"\0")
    assert verify(rope.company).holds  # the chain itself
    assert "was changed" in verify(rope.company, files=True).fault
    path.unlink()
    with pytest.raises(CommandError, match="is missing"):
        call_command("verify_records")
    call_command("verify_records", "--no-files")
    path.write_bytes(whole)
    call_command("verify_records")


def test_a_refused_record_leaves_no_row(owner, rope):
    before = Record.objects.count()
    with pytest.raises(RuleBroken) as refused:
        store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg()), point="strands")
    assert refused.value.code == "not-on-checklist"
    assert (StoredFile.objects.count(), Record.objects.count()) == (0, before)


def test_an_auditor_and_an_outsider_put_nothing_on_record(auditor, outsider, rope):
    with pytest.raises(RuleBroken) as refused:
        store_photograph(actor=auditor, item=rope, upload=files.upload(files.jpeg()))
    assert refused.value.code == "role-not-allowed"
    with pytest.raises(RuleBroken) as refused:
        store_photograph(actor=outsider, item=rope, upload=files.upload(files.jpeg()))
    assert refused.value.code == "other-company"
    assert not StoredFile.objects.exists()


def test_a_file_cannot_be_hung_on_another_items_inspection(owner, rope, company):
    other = examined(ItemFactory(company=company))
    with pytest.raises(RuleBroken) as refused:
        store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg()), inspection=other)
    assert refused.value.code == "file-of-another-item"


def test_bytes_without_a_row_are_swept_and_those_on_record_stay(owner, rope, settings, tmp_path):
    settings.FILES_DIR = tmp_path
    with transaction.atomic():
        lost = store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg(colour="#010203")))
        transaction.set_rollback(True)
    kept = store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg(colour="#030201")))
    keeping.thumbnail_path(kept.sha256)
    assert keeping.sweep_files(older_than_s=-60) == 1
    assert not keeping.path_of(lost.sha256).exists()
    assert len([p for p in tmp_path.rglob("*") if p.is_file()]) == 2


def test_a_held_upload_is_its_members_own_and_lapses_after_a_day(owner, company, settings, tmp_path):
    settings.FILES_DIR = tmp_path
    picture = read_photograph(files.jpeg(), "strand.jpg")
    held = hold_upload(actor=owner, file=picture)
    assert held_file(held) == picture
    assert PendingUpload.objects.of(owner).get() == held
    assert not PendingUpload.objects.of(MembershipFactory(company=company)).exists()
    assert keeping.sweep_files(older_than_s=-60) == 0
    PendingUpload.objects.update(created_at=timezone.now() - dt.timedelta(hours=24, minutes=1))
    assert not PendingUpload.objects.of(owner).exists()
    sweep_uploads()
    assert not PendingUpload.objects.exists()
    assert keeping.sweep_files(older_than_s=-60) == 1


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "document"},
        {"content_type": "text/html"},
        {"width_px": None},
        {"size": 0},
        {"point": "marking"},
    ],
)
def test_a_row_that_does_not_fit_its_kind_cannot_be_written(owner, rope, wrong):
    from django.db import IntegrityError

    row = store_photograph(actor=owner, item=rope, upload=files.upload(files.jpeg()))
    facts = {f.attname: getattr(row, f.attname) for f in row._meta.concrete_fields} | wrong
    facts["record_id"] = Record.objects.exclude(pk=row.pk).first().pk
    with pytest.raises(IntegrityError), transaction.atomic():
        StoredFile(**facts).save(force_insert=True)


def test_the_sweep_says_how_many_files_went(owner, settings, tmp_path, capsys):
    settings.FILES_DIR = tmp_path
    path = keeping.path_of(keeping.keep(b"orphan"))
    os.utime(path, (1, 1))
    call_command("sweep_files")
    assert capsys.readouterr().out.splitlines()[0] == "1 file removed."
    assert not path.exists()

"""The trial finds what it looks for: a row that is gone, a file that is gone, a writer's last line cut short."""

import os

import pytest
from django.db import connection

from crewlog.files.keeping import path_of
from tests.factories.gear import ItemFactory
from tests.files import jpeg
from tests.trials import sigkill, writer

pytestmark = pytest.mark.django_db


def test_line_without_an_end_is_not_acknowledged():
    reading, writing = os.pipe()
    os.write(writing, b"gear_gearitem 1\ngear_storedfile 2 abc\ngear_insp")
    os.close(writing)
    assert writer.acknowledged(reading) == [("gear_gearitem", "1"), ("gear_storedfile", "2", "abc")]


@pytest.fixture
def stays_open(monkeypatch):
    """The trial closes its connection before it forks; the test's is one transaction and stays."""
    monkeypatch.setattr(connection, "close", lambda: None)


def test_row_or_file_that_is_gone_is_lost(lead, stays_open):
    from django.core.files.uploadedfile import SimpleUploadedFile

    from gear.files.services import store_photograph

    item = ItemFactory(company=lead.company)
    kept = store_photograph(actor=lead, item=item, upload=SimpleUploadedFile("a.jpg", jpeg(), "image/jpeg"))
    stored = ("gear_gearitem", item.pk), ("gear_storedfile", kept.pk, kept.sha256)
    assert sigkill.lost(stored) == []
    assert sigkill.lost([("gear_gearitem", item.pk + 1)]) == [("gear_gearitem", item.pk + 1)]
    path_of(kept.sha256).write_bytes(b"cut short")
    assert sigkill.lost(stored) == [stored[1]]
    assert sigkill.faults() != []
    path_of(kept.sha256).unlink()

"""A process that enters items, examinations, photographs and readings over and over, and says each only when it stands.

A line goes to the pipe after the service has returned, that is after its transaction was committed. It names table,
key, and the file where there is one. Whoever reads the line may rely on it.
"""

import datetime as dt
import os
import signal
import sys
import traceback

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.utils import timezone

from crewlog.models import Company, Membership, Role
from gear.examinations.services import Verdict, record_inspection
from gear.files.services import store_photograph
from gear.models import GearItem
from gear.register.services import add_item
from jobs.field.services import record_reading
from jobs.models import Sheet
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.crewlog import CompanyFactory, MembershipFactory
from tests.factories.gear import examiner, good_examination
from tests.factories.jobs import passing_sheet
from tests.files import jpeg

COMPANY = "Trial Crew"


def prepare():
    """A company with its people and an issued sheet for readings."""
    company = CompanyFactory(name=COMPANY)
    roles = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR)
    _, lead, inspector = (MembershipFactory(company=company, role=role, person__company=company) for role in roles)
    examiner(inspector)
    issue_sheet(actor=lead, sheet=passing_sheet(company, lead=lead.person), looked_at=EVERYTHING)


def write(acknowledge, *, name):
    """Write until killed. `name` keeps the tags of several writers apart."""
    company = Company.objects.get(name=COMPANY)
    owner, lead, inspector = (
        Membership.objects.get(company=company, role=role) for role in (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR)
    )
    sheet = Sheet.objects.get(stem__job__company=company)
    cell = GearItem.objects.get(company=company, tag="L-01")
    number = 0
    while True:
        number += 1
        item = add_item(
            actor=owner, tag=f"{name}-{number}", gear_class="block", description="Block of the trial",
            working_load_limit_n=12_000.0, pulls_at_ground=True,
        )  # fmt: skip
        acknowledge("gear_gearitem", item.pk)
        row = record_inspection(actor=inspector, item=item, examination=good_examination(item), verdict=Verdict("fit"))
        acknowledge("gear_inspection", row.pk)
        colour = f"#{hash((name, number)) & 0xFFFFFF:06x}"
        picture = SimpleUploadedFile("a.jpg", jpeg((48, 32), colour), "image/jpeg")
        kept = store_photograph(actor=lead, item=item, upload=picture)
        acknowledge("gear_storedfile", kept.pk, kept.sha256)
        reading = record_reading(
            actor=lead, sheet=sheet, kind="line", moment="full_pull", force_n=1000.0 + number, gauge=cell,
            read_at=timezone.now() - dt.timedelta(seconds=1),
        )  # fmt: skip
        acknowledge("jobs_reading", reading.pk)


def start(name):
    """Fork a writer. Returns its process id and the end of the pipe to read."""
    connection.close()  # a connection is not shared with a child
    reading, writing = os.pipe()
    child = os.fork()
    if child:
        os.close(writing)
        return child, reading
    os.close(reading)
    try:
        write(lambda *words: os.write(writing, (" ".join(map(str, words)) + "\n").encode()), name=name)
    except BaseException:
        if "-v" in sys.argv:
            traceback.print_exc()
    finally:
        os._exit(3)  # a database that went away under it; nothing of the parent's is run down


def kill(child):
    """End a writer as nothing else does: it cannot clean up."""
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def acknowledged(reading):
    """Every whole line that came through; what was being written when it was killed has no end of line."""
    with os.fdopen(reading) as pipe:
        text = pipe.read()
    return [tuple(line.split(" ")) for line in text[: text.rfind("\n") + 1].splitlines()]

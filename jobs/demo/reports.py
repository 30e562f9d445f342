"""A report of thorough examination in the demo."""

from crewlog.company.services import describe_examiner
from gear.models import Inspection
from gear.reports.choice import ReportRequest
from gear.reports.services import issue_report
from jobs.demo.scenario import Cast

REPORTED = ("B-01", "C-04", "S-01")


def add_report(cast: Cast) -> None:
    """What reports say of the inspector, and one report of the last thorough examination of three items."""
    inspector = cast.members["inspector"]
    describe_examiner(
        actor=inspector,
        person=inspector.person,
        qualifications="Certificate INSPECTOR-01, examiner of lifting gear for tree work",
        address=cast.company.address,
        employment="company",
    )
    rows = [last_examination(cast, tag) for tag in REPORTED]
    issue_report(
        actor=inspector,
        inspections=rows,
        said={row.pk: ReportRequest() for row in rows},
        premises=f"Gear store, {cast.company.address}",
    )


def last_examination(cast: Cast, tag: str) -> Inspection:
    rows = Inspection.objects.filter(
        item=cast.items[tag], kind="thorough", inspector=cast.members["inspector"].person
    ).standing()
    found: Inspection = rows.order_by("-examined_on", "-record_id")[0]
    return found

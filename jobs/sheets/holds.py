"""What a hold on a job or on an item reaches in jobs, and what stands in the way of a person's removal here."""

from collections.abc import Iterator

from django.db.models import QuerySet

from crewlog.evidence import about
from crewlog.hooks import Found, Refusal
from crewlog.models import Company, Person, Record
from crewlog.retention.rules import people_in, records_naming
from jobs.models import Duty, IssuedSheet, Job, Sheet, Stem


def find_job(company: Company, reference: str) -> Found | None:
    job = Job.objects.for_company(company).filter(reference__iexact=reference).order_by("-pk").first()
    return None if job is None else Found(str(job.pk), job.reference)


def job_name(company: Company, key: str) -> str:
    """The job's reference. One query."""
    job = Job.objects.for_company(company).filter(pk=key).first()
    return f"job {job.reference}" if job else "a job"


def people_of_job(company: Company, key: str) -> set[str]:
    """Lead and crew of a job, who holds a duty on its sheets, and everyone whom a record of it names."""
    job = Job.objects.for_company(company).filter(pk=key).first()
    if job is None:
        return set()
    sheets = Sheet.objects.filter(stem__job=job)
    found = {str(job.lead_id), *(str(pk) for pk in job.crew.values_list("pk", flat=True))}
    found |= people_of_sheets(sheets)
    named = about(Job, [job.pk]) | about(Stem, job.stems.values_list("pk", flat=True))
    return found | people_in(Record.objects.filter(named).order_by().iterator(chunk_size=2000))


def people_of_items_sheets(company: Company, key: str) -> set[str]:
    """Everyone on a sheet, issued or not, that lists the item."""
    return people_of_sheets(Sheet.objects.for_company(company).filter(assignments__item=int(key)))


def people_of_sheets(sheets: QuerySet[Sheet]) -> set[str]:
    """Who holds a duty on the sheets or supervises, and everyone whom their records name."""
    keys = list(sheets.values_list("pk", flat=True))
    found: set[str] = set()
    for pair in Duty.objects.filter(sheet__in=keys).values_list("person", "supervisor"):
        found |= {str(pk) for pk in pair if pk is not None}
    return found | people_in(Record.objects.filter(about(Sheet, keys)).order_by().iterator(chunk_size=2000))


def papers_in_evidence(person: Person) -> Iterator[Refusal]:
    """Sheets whose paper still stands in the evidence itself, where no one can let it go."""
    named = IssuedSheet.objects.filter(record__in=records_naming(person)).exclude(pdf=b"")
    count = named.count()
    if count:
        sheets = "A sheet" if count == 1 else f"{count} sheets"
        yield Refusal(
            "paper-in-evidence",
            f"{sheets} issued before papers were kept apart print the name inside the evidence itself, for good.",
        )

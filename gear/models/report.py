"""A report of thorough examination, as it was issued."""

from django.db import models

from crewlog.models import Company, EvidenceModel, Person
from crewlog.models.querysets import EvidenceQuerySet
from gear.models.inspection import Inspection


class ExaminationReport(EvidenceModel):
    """What was reported, of which examinations, and the bytes that were handed out.

    `facts` is canonical JSON of the particulars without names of people; the names stand in the paper.
    """

    record_kind = "gear.examination-report"
    about_no_row = "its list of examinations stands in its facts, and in ReportedInspection"

    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="examination_reports")
    number = models.CharField(max_length=24)
    issued_on = models.DateField()
    signed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    authenticated_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    premises = models.TextField()
    facts = models.TextField()
    facts_sha256 = models.CharField(max_length=64)
    chain_head = models.CharField(max_length=64)
    pdf = models.BinaryField()

    objects = EvidenceQuerySet.as_manager()

    class Meta:
        ordering = ["-record_id"]
        constraints = [
            models.UniqueConstraint(fields=["company", "number"], name="gear_examinationreport_number_once"),
        ]

    def __str__(self) -> str:
        return f"report {self.number}"


class ReportedInspection(models.Model):
    """Finds the reports of an examination; the evidence is the list in the report's facts."""

    report = models.ForeignKey(ExaminationReport, on_delete=models.PROTECT, related_name="reported")
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="reported")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "inspection"], name="gear_reportedinspection_once"),
        ]

    def __str__(self) -> str:
        return f"{self.inspection} in {self.report}"

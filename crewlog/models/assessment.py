"""An assessment on site that a competence rests on."""

from django.db import models

from crewlog.models.people import Competence, Person


class Assessment(models.Model):
    """Who assessed, when, at which job, with the result for each point: a list of [point, result]."""

    competence = models.OneToOneField(Competence, on_delete=models.CASCADE, related_name="assessment")
    assessor = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="assessments_made")
    assessed_on = models.DateField()
    job = models.CharField(max_length=120)
    points = models.JSONField(default=list)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="crewlog_assessment_names_job",
                condition=~models.Q(job=""),
                violation_error_message="Say at which job it was seen.",
            )
        ]

    def __str__(self) -> str:
        return f"assessment of {self.assessed_on}"

    @property
    def rows(self) -> list[tuple[str, str]]:
        """Points with their results in words; free text of before there was a choice reads as it was written."""
        words = {"alone": "alone", "with_help": "with help", "not_yet": "not yet"}
        return [(what, words.get(result, result)) for what, result in self.points]

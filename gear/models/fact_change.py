"""A change of a fact of an item as an event of its own, and the answer of who read the marking."""

from django.db import models
from django.db.models import F, Q

from crewlog.models import Company, EvidenceModel, Person
from crewlog.models.querysets import CompanyQuerySet
from gear.models.files import StoredFile
from gear.models.inspection import Inspection
from gear.models.item import GearItem
from gear.models.querysets import FactChangeQuerySet


class ChangeReason(models.TextChoices):
    TYPED = "typed", "It was typed wrongly"
    READ = "read", "The marking was read wrongly"
    CERTIFICATE = "certificate", "A certificate says otherwise"
    OTHER = "other", "Another reason"


class ChangeSource(models.TextChoices):
    MARKING = "marking", "Marking on the item"
    CERTIFICATE = "certificate", "Certificate"
    LETTER = "letter", "Maker's letter"
    MEASURED = "measured", "Measurement"


class FactCheck(models.TextChoices):
    EXAMINATION = "examination", "An examination of the marking"
    SECOND_PERSON = "second_person", "A second person"


class ChangeAnswer(models.TextChoices):
    AGREES = "agrees", "Agrees"
    DIFFERS = "differs", "Does not agree"
    TAKEN_BACK = "taken_back", "Taken back"
    OVERTAKEN = "overtaken", "Overtaken by a later change"


class FactChange(EvidenceModel):
    """One change of facts that belong together: each old and new, why, and where the new one stands.

    `waits` is a change to the favourable side: it counts when it is answered with "agrees". Any other counts from the
    moment it is entered. `changes` gives [old, new] by column, as the chain writes values.
    """

    record_kind = "gear.fact-change"

    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="fact_changes")
    subject = models.CharField(max_length=32)
    changes = models.JSONField()
    waits = models.BooleanField()
    asks = models.CharField(max_length=16, choices=FactCheck, blank=True, default="")
    author = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=16, choices=ChangeReason)
    source = models.CharField(max_length=16, choices=ChangeSource)
    words = models.TextField()
    shown_by = models.ForeignKey(StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    objects = FactChangeQuerySet.as_manager()

    class Meta:
        ordering = ["-record_id"]
        constraints = [
            models.CheckConstraint(
                name="gear_factchange_says_why",
                condition=~Q(words="") & Q(reason__in=ChangeReason.values) & Q(source__in=ChangeSource.values),
                violation_error_message="Say why, and where the new figure stands.",
            ),
            models.CheckConstraint(
                name="gear_factchange_upwards_is_shown",
                condition=Q(waits=False) | Q(shown_by__isnull=False),
                violation_error_message="A change to the favourable side needs a photograph or a paper.",
            ),
            models.CheckConstraint(
                name="gear_factchange_waits_for_somebody",
                condition=Q(waits=True, asks__in=FactCheck.values) | Q(waits=False, asks=""),
                violation_error_message="A change that waits says who answers it.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item.tag}: {self.subject}"


class FactChangeAnswer(EvidenceModel):
    """The one answer to a change that waits. `author` repeats whose change it is: nobody confirms their own."""

    record_kind = "gear.fact-change-answer"

    item = models.ForeignKey(GearItem, on_delete=models.PROTECT, related_name="+")
    change = models.OneToOneField(FactChange, on_delete=models.PROTECT, related_name="answer")
    answer = models.CharField(max_length=12, choices=ChangeAnswer)
    author = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    words = models.TextField(blank=True, default="")

    class Meta:
        ordering = ["-record_id"]
        constraints = [
            models.CheckConstraint(
                name="gear_factchangeanswer_known",
                condition=Q(answer__in=ChangeAnswer.values),
            ),
            models.CheckConstraint(
                name="gear_factchangeanswer_not_own",
                condition=~Q(answer__in=["agrees", "differs"]) | ~Q(by=F("author")),
                violation_error_message="You cannot confirm your own change.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_answer_display()}: {self.change}"


class FactSetting(models.Model):
    """What a company asks for before a change to the favourable side counts. No row: an examination."""

    company = models.OneToOneField(Company, on_delete=models.PROTECT, related_name="fact_setting")
    check_by = models.CharField(max_length=16, choices=FactCheck, default=FactCheck.EXAMINATION)

    objects = CompanyQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="gear_factsetting_known_check",
                condition=Q(check_by__in=FactCheck.values),
                violation_error_message="Choose who answers a change.",
            ),
        ]

    def __str__(self) -> str:
        return self.get_check_by_display()

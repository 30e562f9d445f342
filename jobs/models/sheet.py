"""A job sheet: gear and duties assigned to a plan, and what became of it as evidence."""

from django.db import models
from django.db.models import F, Q

from crewlog.evidence.documents import document_bytes
from crewlog.models import EvidenceModel, Person
from jobs.models.anchor import Anchor
from jobs.models.querysets import SheetQuerySet
from jobs.models.stem import Stem

MAX_ALTERNATES = 2
HANGS_AS = ("configuration", "basket_half_angle_deg", "choke_angle_deg", "loaded")  # columns: how an item is used


class Sheet(models.Model):
    """A sheet in one revision. It is a draft until it has an IssuedSheet; an issued one is never changed again."""

    stem = models.ForeignKey(Stem, on_delete=models.PROTECT, related_name="sheets")
    number = models.CharField(max_length=48)
    revision = models.PositiveSmallIntegerField(default=1)
    day = models.DateField()
    starts_at = models.TimeField("from", null=True, blank=True)
    ends_at = models.TimeField("until", null=True, blank=True)

    objects = SheetQuerySet.as_manager()

    class Meta:
        ordering = ["-day", "number", "-revision"]
        constraints = [
            models.UniqueConstraint(fields=["stem", "number", "revision"], name="jobs_sheet_revision_once"),
            models.CheckConstraint(
                name="jobs_sheet_window_in_order",
                condition=Q(starts_at__isnull=True, ends_at__isnull=True) | Q(ends_at__gt=F("starts_at")),
                violation_error_message="Give both ends of the window, the later last, or neither for the whole day.",
            ),
        ]
        indexes = [models.Index(fields=["day"], name="jobs_sheet_by_day")]

    def __str__(self) -> str:
        return f"sheet {self.number}, revision {self.revision}"

    def overlaps(self, other: "Sheet") -> bool:
        """Whether the two take place at the same time; a sheet without a window takes the whole day."""
        if self.day != other.day:
            return False
        if self.starts_at is None or self.ends_at is None or other.starts_at is None or other.ends_at is None:
            return True
        return self.starts_at < other.ends_at and other.starts_at < self.ends_at


class Assignment(models.Model):
    """What hangs in a position of the load path. Rank 0 is the item itself, 1 and 2 its checked alternates."""

    class Configuration(models.TextChoices):
        STRAIGHT = "straight", "Straight"
        CHOKER = "choker", "Choked"
        BASKET = "basket", "Basket"

    class Loaded(models.TextChoices):
        MAJOR = "major", "Along its length"
        THREE_WAY = "three_way", "Three ways"
        ACROSS = "across", "Across"

    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="assignments")
    role = models.CharField(max_length=40)
    rank = models.PositiveSmallIntegerField(default=0)
    item = models.ForeignKey(
        "gear.GearItem", on_delete=models.PROTECT, null=True, blank=True, related_name="assignments"
    )
    anchor = models.ForeignKey(Anchor, on_delete=models.PROTECT, null=True, blank=True, related_name="assignments")
    not_used = models.CharField(max_length=20, blank=True, default="")
    configuration = models.CharField(max_length=10, choices=Configuration, blank=True, default="")
    basket_half_angle_deg = models.FloatField(null=True, blank=True)
    choke_angle_deg = models.FloatField(null=True, blank=True)
    loaded = models.CharField(max_length=10, choices=Loaded, default=Loaded.MAJOR)
    set_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    set_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["role", "rank"]
        constraints = [
            models.UniqueConstraint(fields=["sheet", "role", "rank"], name="jobs_assignment_position_once"),
            models.CheckConstraint(
                name="jobs_assignment_exactly_one_thing",
                condition=(
                    Q(item__isnull=False, anchor__isnull=True, not_used="")
                    | Q(item__isnull=True, anchor__isnull=False, not_used="")
                    | (Q(item__isnull=True, anchor__isnull=True) & ~Q(not_used=""))
                ),
                violation_error_message="A position holds an item, an anchor, or the reason why it is not used.",
            ),
            models.CheckConstraint(
                name="jobs_assignment_two_alternates",
                condition=Q(rank__lte=MAX_ALTERNATES),
                violation_error_message="A position has up to two alternates.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.role}: {self.item or self.anchor or self.not_used}"


class DutyKind(models.TextChoices):
    CUTTER = "cutter", "Cutter"
    HAULER = "hauler", "Hauler"
    BOLLARD_TENDER = "bollard_tender", "Bollard tender"
    HITCH_TENDER = "hitch_tender", "Hitch minder"
    LOOKOUT = "lookout", "Lookout and signaller"
    SIDE_TENDER = "side_tender", "Side line tender"
    RESTRAINT_TENDER = "restraint_tender", "Restraint tender"
    FIRST_AIDER = "first_aider", "First-aider"
    RESCUE_CLIMBER = "rescue_climber", "Rescue climber"


class Duty(models.Model):
    """Who does what on a sheet; a trainee has a supervisor."""

    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="duties")
    duty = models.CharField(max_length=20, choices=DutyKind)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="duties")
    supervisor = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["duty", "pk"]
        verbose_name_plural = "duties"
        constraints = [
            models.UniqueConstraint(fields=["sheet", "duty", "person"], name="jobs_duty_once"),
            models.CheckConstraint(name="jobs_duty_known", condition=Q(duty__in=DutyKind.values)),
            models.CheckConstraint(
                name="jobs_duty_not_own_supervisor",
                condition=Q(supervisor__isnull=True) | ~Q(supervisor=F("person")),
                violation_error_message="Nobody supervises themself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_duty_display()}: {self.person}"


class SourceNote(models.Model):
    """Where a figure that was changed after a refusal now comes from."""

    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="source_notes")
    path = models.CharField(max_length=120)
    value = models.CharField(max_length=60)
    source = models.CharField(max_length=200)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sheet", "path", "value"], name="jobs_sourcenote_once")]

    def __str__(self) -> str:
        return f"{self.path}: {self.source}"


class IssuedSheet(EvidenceModel):
    """The issue of a sheet: what was computed and checked. The paper stands in `IssuedDocument` (decision 0008).

    `pdf` holds the paper of sheets issued before that; in every later one it is empty.
    """

    record_kind = "jobs.sheet-issued"

    sheet = models.OneToOneField(Sheet, on_delete=models.PROTECT, related_name="issue")
    issued_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    mechanics_version = models.CharField(max_length=20)
    snapshot = models.TextField()
    snapshot_sha256 = models.CharField(max_length=64)
    chain_head = models.CharField(max_length=64)
    pdf = models.BinaryField()

    def __str__(self) -> str:
        return f"issue of {self.sheet}"

    def paper(self) -> bytes | None:
        """The PDF that was handed out; None once it was let go. One query."""
        return bytes(self.pdf) or document_bytes(self.record)


class SheetRefusal(EvidenceModel):
    """An attempt to issue that was refused: the codes, and the inputs they were given for."""

    record_kind = "jobs.sheet-refused"

    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="refusals")
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    codes = models.TextField()
    inputs = models.TextField()

    class Meta:
        ordering = ["record_id"]

    def __str__(self) -> str:
        return f"refusal of {self.sheet}"


class SheetWithdrawal(EvidenceModel):
    """An issued sheet no longer stands. It is withdrawn once: nothing lifts it, a new revision is issued."""

    record_kind = "jobs.sheet-withdrawn"

    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="withdrawals")
    item = models.ForeignKey("gear.GearItem", on_delete=models.PROTECT, null=True, related_name="+")
    reason = models.CharField(max_length=300)

    class Meta:
        ordering = ["record_id"]
        constraints = [models.UniqueConstraint(fields=["sheet"], name="jobs_sheetwithdrawal_once")]

    def __str__(self) -> str:
        return f"withdrawal of {self.sheet}"


class WithdrawalSeen(EvidenceModel):
    """Somebody answerable has seen a withdrawal."""

    record_kind = "jobs.withdrawal-seen"

    withdrawal = models.ForeignKey(SheetWithdrawal, on_delete=models.PROTECT, related_name="seen_by")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.withdrawal} seen"

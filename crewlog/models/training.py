"""Who learns which skill, and the sessions in which it was shown."""

from django.db import models
from django.db.models import Q

from crewlog.models.people import Person, Skill


class Result(models.TextChoices):
    """How a point was shown. Only a point shown alone, without a word, counts for a qualification."""

    ALONE = "alone", "Alone"
    WITH_HELP = "with_help", "With help"
    NOT_YET = "not_yet", "Not yet"


class Learning(models.Model):
    """A skill that a person learns; they are its trainee on any day on which they do not hold it."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="learning")
    skill = models.CharField(max_length=16, choices=Skill)
    since = models.DateField()

    class Meta:
        ordering = ["skill"]
        constraints = [
            models.CheckConstraint(name="crewlog_learning_known_skill", condition=Q(skill__in=Skill.values)),
            models.UniqueConstraint(fields=["person", "skill"], name="crewlog_learning_once"),
        ]

    def __str__(self) -> str:
        return self.get_skill_display()


class TrainingSession(models.Model):
    """One assessment on site: by whom, when and where, with a Result for each point, and whether it granted the skill.

    Personal like the qualification itself: the record carries counts and a salted digest, so that this can be removed.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="training_sessions")
    skill = models.CharField(max_length=16, choices=Skill)
    gear_class = models.CharField(max_length=24, blank=True, default="")
    assessor = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="sessions_assessed")
    held_on = models.DateField()
    place = models.CharField(max_length=120)
    points = models.JSONField(default=list)
    alone = models.PositiveSmallIntegerField(default=0)
    with_help = models.PositiveSmallIntegerField(default=0)
    not_yet = models.PositiveSmallIntegerField(default=0)
    granted = models.BooleanField(default=False)

    class Meta:
        ordering = ["-held_on", "-id"]
        constraints = [
            models.CheckConstraint(name="crewlog_session_known_skill", condition=Q(skill__in=Skill.values)),
            models.CheckConstraint(
                name="crewlog_session_names_place",
                condition=~Q(place=""),
                violation_error_message="Say at which job it was seen.",
            ),
            models.CheckConstraint(
                name="crewlog_session_grants_only_alone",
                condition=Q(granted=False) | Q(alone__gte=1, with_help=0, not_yet=0),
                violation_error_message="Only a session with every point shown alone grants a qualification.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_skill_display()}, {self.held_on}"

    @property
    def outcome(self) -> str:
        """What it came to, in words."""
        if self.granted:
            return f"All {self.alone} alone: granted"
        short = [f"{n} {words}" for n, words in ((self.with_help, "with help"), (self.not_yet, "not yet")) if n]
        return f"{self.alone} alone, {', '.join(short)}: grants nothing"

    @property
    def rows(self) -> list[tuple[str, str]]:
        """Points with their results in words."""
        words = dict(Result.choices)
        return [(what, words.get(result, result)) for what, result in self.points]

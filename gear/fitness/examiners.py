"""Who may examine which class of gear on a day."""

import datetime as dt

from django.db.models import Q, QuerySet
from django.db.models.functions import Coalesce

from crewlog.models import Competence, Person, Skill
from gear.catalogue.classes import BY_CODE
from gear.errors import NotCompetent
from gear.models import GearItem

EVERY_CLASS = ""  # how a competence for all classes is written


def may_examine(person: Person, *, gear_class: str, on: dt.date) -> bool:
    """Whether a person holds a standing competence to examine this class on the day. One query."""
    return competences_for(person, gear_class=gear_class, on=on).exists()


def competences_for(person: Person, *, gear_class: str, on: dt.date) -> QuerySet[Competence]:
    """Standing competences of a person to examine a class, the one that lasts longest first."""
    return (
        standing_competences(person, on=on)
        .filter(gear_class__in=[EVERY_CLASS, gear_class])
        .order_by(Coalesce("expires_on", dt.date.max).desc())
    )


def standing_competences(person: Person, *, on: dt.date) -> QuerySet[Competence]:
    """What a person may examine on a day."""
    return Competence.objects.filter(person=person, skill=Skill.EXAMINE_GEAR, granted_on__lte=on).filter(
        Q(expires_on__isnull=True) | Q(expires_on__gte=on)
    )


def classes_examined(person: Person, *, on: dt.date) -> frozenset[str]:
    """The classes a person may examine on a day. One query."""
    held = set(standing_competences(person, on=on).values_list("gear_class", flat=True))
    return frozenset(BY_CODE) if EVERY_CLASS in held else frozenset(held)


def check_examiner(item: GearItem, signer: Person, *, is_competent: bool) -> None:
    """Refuse an examiner without a standing competence for the class on the day, and one of their own splice."""
    if not is_competent:
        raise NotCompetent(
            f"{signer} has no valid qualification to examine this class on that day. "
            "Have a competent person examine it, or enter the qualification.",
            field="inspector",
        )
    if item.spliced_by_id == signer.pk:
        raise NotCompetent(
            "The person who made a splice cannot examine it. Have another competent person examine it.",
            code="own-splice",
            field="inspector",
        )

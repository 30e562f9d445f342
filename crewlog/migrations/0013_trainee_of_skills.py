"""A trainee person becomes a trainee of every skill that they do not hold today."""

from django.db import migrations
from django.utils import timezone

SKILLS = (
    "cutter",
    "hauler",
    "bollard",
    "hitch",
    "lookout",
    "line_tender",
    "first_aid",
    "rescue",
    "rigging_lead",
    "examine_gear",
)


def learn_what_is_not_held(apps, schema_editor):
    today = timezone.now().date()
    learning = apps.get_model("crewlog", "Learning")
    competences = apps.get_model("crewlog", "Competence").objects.filter(granted_on__lte=today)
    for person in apps.get_model("crewlog", "Person").objects.filter(is_trainee=True):
        own = competences.filter(person=person).exclude(expires_on__lt=today)
        held = set(own.values_list("skill", flat=True))
        learning.objects.bulk_create(
            learning(person=person, skill=skill, since=today) for skill in SKILLS if skill not in held
        )


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0012_training")]

    operations = [migrations.RunPython(learn_what_is_not_held, migrations.RunPython.noop)]

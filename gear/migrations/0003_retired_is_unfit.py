"""An item is unfit from the day it was retired: the days kept with it count that, so that one comparison answers."""

from django.db import migrations
from django.db.models import F
from django.db.models.functions import Least


def count_retirement(apps, schema_editor):
    items = apps.get_model("gear", "GearItem").objects.using(schema_editor.connection.alias)
    items.filter(retired_on__isnull=False).update(
        overdue_from=Least(F("overdue_from"), F("retired_on")), unfit_from=Least(F("unfit_from"), F("retired_on"))
    )


class Migration(migrations.Migration):
    dependencies = [("gear", "0002_status_dates")]
    operations = [migrations.RunPython(count_retirement, migrations.RunPython.noop)]

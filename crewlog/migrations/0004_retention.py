from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0003_calendar_feeds")]
    operations = []

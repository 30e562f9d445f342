from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0004_retention")]
    operations = []

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("jobs", "0002_measured_efficiency")]
    operations = []

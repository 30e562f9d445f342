from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("gear", "0001_initial")]
    operations = []

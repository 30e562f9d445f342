from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("gear", "0005_loads")]
    operations = []

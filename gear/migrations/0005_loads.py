from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("gear", "0004_assemblies")]
    operations = []

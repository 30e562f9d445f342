from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("gear", "0006_imports")]
    operations = []

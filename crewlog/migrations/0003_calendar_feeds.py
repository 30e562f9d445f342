from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0002_company_address")]
    operations = []

from django.db import migrations

from services.tenancy.operations import ProtectTables


class Migration(migrations.Migration):
    dependencies = [("programming", "0001_initial"), ("tenancy", "0002_protect")]

    operations = [
        ProtectTables(
            "programming",
            ["Movement", "Variation", "LocationKit", "Template", "ScheduledSession"],
            immutable=["VariationVersion", "Revision"],
        )
    ]

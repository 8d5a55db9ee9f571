from django.db import migrations

from services.tenancy.operations import ProtectTables


class Migration(migrations.Migration):
    dependencies = [
        ("athletes", "0001_initial"),
        ("tenancy", "0002_protect"),
        ("programming", "0002_protect"),
    ]

    operations = [
        ProtectTables(
            "athletes",
            ["Athlete", "BodyMass", "Limitation", "Observation", "Capacity"],
            immutable=["Assessment", "PriorSnapshot"],
        )
    ]

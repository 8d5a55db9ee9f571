from django.db import migrations

from services.tenancy.operations import ProtectTables


class Migration(migrations.Migration):
    dependencies = [("scoring", "0001_initial"), ("tenancy", "0002_protect"), ("athletes", "0002_protect")]

    operations = [
        ProtectTables(
            "scoring",
            ["OfficialScore", "Review", "Ranking"],
            immutable=["Prescription", "Attempt", "SetLog"],
        )
    ]

"""What prescriptions store is compressed in half of the time, where the server can."""

from django.db import migrations

from services.tenancy.operations import compress_quickly


class Migration(migrations.Migration):
    dependencies = [("scoring", "0005_number_with_feasible")]

    operations = [
        migrations.RunSQL(
            compress_quickly("scoring_prescription", ("content", "forecast", "basis")),
            migrations.RunSQL.noop,
        )
    ]

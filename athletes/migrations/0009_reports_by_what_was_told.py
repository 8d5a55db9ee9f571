from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("athletes", "0008_hours")]

    operations = [
        migrations.AddField("report", "taken_otherwise", models.JSONField(default=list)),
        migrations.AddField("report", "told_digest", models.CharField(blank=True, default="", max_length=64)),
        migrations.RemoveConstraint("report", "report_client_id_once"),
        migrations.AddConstraint(
            "report",
            models.UniqueConstraint(
                fields=["org", "athlete", "client_id", "told_digest"], name="report_told_once"
            ),
        ),
    ]

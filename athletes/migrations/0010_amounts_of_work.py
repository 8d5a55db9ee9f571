from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("athletes", "0009_reports_by_what_was_told")]

    operations = [
        migrations.AddField("workdone", "amounts", models.JSONField(default=dict)),
        migrations.AddField("absence", "peak_amounts", models.JSONField(default=dict)),
    ]

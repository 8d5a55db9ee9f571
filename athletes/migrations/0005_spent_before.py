from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("athletes", "0004_doubted_work")]

    operations = [
        migrations.AddField("Observation", name, models.FloatField(null=True))
        for name in ("spent_least", "spent_usual", "spent_most")
    ]

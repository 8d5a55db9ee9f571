from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("athletes", "0006_amounts_beside_repetitions")]

    operations = [
        migrations.AddField(
            model_name="holdrelease",
            name="cleared_by",
            field=models.CharField(blank=True, default="", max_length=500),
        ),
    ]

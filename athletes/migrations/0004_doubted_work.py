from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("athletes", "0003_lasting_day_change")]

    operations = [migrations.AddField("WorkDone", "doubted", models.BooleanField(default=False))]

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("athletes", "0002_tiring")]

    operations = [migrations.AddField("DayChange", "until", models.DateField(null=True))]

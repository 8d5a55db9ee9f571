from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("tenancy", "0002_protect")]

    operations = [
        migrations.AddField(
            model_name="organisation",
            name="staff_second_factor",
            field=models.BooleanField(default=False),
        ),
    ]

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("access", "0004_second_factor")]

    operations = [
        migrations.AddField(
            model_name="secondfactor",
            name="wrong_codes",
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name="secondfactor",
            name="wrong_at",
            field=models.DateTimeField(null=True),
        ),
    ]

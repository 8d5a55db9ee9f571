from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("scoring", "0002_protect")]

    operations = [
        migrations.AddField(
            model_name="officialscore",
            name="review_version",
            field=models.PositiveIntegerField(default=0),
        )
    ]

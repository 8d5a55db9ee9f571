from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("programming", "0001_tables"),
    ]

    operations = [
        migrations.AddField(
            model_name="scheduledsession",
            name="changed_at",
            field=models.DateTimeField(null=True),
        ),
    ]

from django.db import migrations, models


class Migration(migrations.Migration):
    """What life was asked for is not known of older tokens: they end at their present expiry."""

    dependencies = [("access", "0002_protect")]

    operations = [
        migrations.AddField(
            model_name="apitoken",
            name="renews",
            field=models.BooleanField(default=False),
        ),
    ]

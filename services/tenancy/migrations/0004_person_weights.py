from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("tenancy", "0003_organisation_staff_second_factor")]

    operations = [
        migrations.AddField(
            model_name="person",
            name="weights",
            field=models.CharField(default="kg", max_length=2),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(("weights__in", ("kg", "lb"))), name="person_weights_are_known"
            ),
        ),
    ]

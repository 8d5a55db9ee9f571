import django.db.models.deletion
import services.tenancy.models.base
import uuid
from django.db import migrations, models

from services.tenancy.operations import ProtectTables


class Migration(migrations.Migration):
    dependencies = [
        ("athletes", "0005_spent_before"),
    ]

    operations = [
        migrations.CreateModel(
            name="Tempo",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("mean", models.FloatField()),
                ("log_sd", models.FloatField()),
                ("movements", models.JSONField()),
                ("inputs", models.CharField(max_length=64)),
                ("method_version", models.PositiveSmallIntegerField()),
                ("computed_at", models.DateTimeField()),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="tempos",
                        to="athletes.athlete",
                    ),
                ),
                (
                    "org",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="tenancy.organisation",
                    ),
                ),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("org", "athlete"), name="tempo_once")],
            },
        ),
        ProtectTables("athletes", ["Tempo"]),
    ]

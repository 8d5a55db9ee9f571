import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from services.tenancy.operations import APP, ERASURE, never_changes

CURRENT_PERSON = "(SELECT nullif(current_setting('app.person', true), '')::uuid)"
TABLES = ("access_secondfactor", "access_recoverycode", "access_factorevent")


def of_person(table: str) -> str:
    """Nobody but the person sees a row, in no organisation; no role that only reads sees any."""
    own = f"person_id = {CURRENT_PERSON}"
    change = "" if table == "access_factorevent" else ", UPDATE, DELETE"
    return f"""
        ALTER TABLE {table} ENABLE ROW LEVEL SECURITY;
        ALTER TABLE {table} FORCE ROW LEVEL SECURITY;
        CREATE POLICY of_person ON {table} USING ({own}) WITH CHECK ({own});
        GRANT SELECT, INSERT{change} ON {table} TO {APP};
        GRANT SELECT, DELETE ON {table} TO {ERASURE};
    """


class Migration(migrations.Migration):
    dependencies = [
        ("access", "0003_token_renews"),
        ("tenancy", "0003_organisation_staff_second_factor"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="SecondFactor",
            fields=[
                (
                    "person",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="+",
                        serialize=False,
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                ("secret", models.CharField(max_length=64)),
                ("offered_at", models.DateTimeField()),
                ("confirmed_at", models.DateTimeField(null=True)),
                ("last_step", models.BigIntegerField(default=0)),
            ],
        ),
        migrations.AddField(
            model_name="apitoken",
            name="with_factor",
            field=models.BooleanField(default=False),
        ),
        migrations.CreateModel(
            name="FactorEvent",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("what", models.CharField(max_length=30)),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="RecoveryCode",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("digest", models.CharField(max_length=64)),
                ("used_at", models.DateTimeField(null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("person", "digest"), name="recovery_code_once_per_person")
                ],
            },
        ),
        *(migrations.RunSQL(of_person(table)) for table in TABLES),
        migrations.RunSQL(never_changes("access_factorevent")),
    ]

import django.db.models.deletion
import services.tenancy.models.base
import uuid
from django.conf import settings
from django.db import migrations, models

from services.tenancy.operations import ProtectTables


class Migration(migrations.Migration):
    # One migration in place of those of development: each step of Django's over all tables costs a fifth of a second.

    replaces = [
        ("scoring", "0001_initial"),
        ("scoring", "0002_protect"),
        ("scoring", "0003_officialscore_review_version"),
        ("scoring", "0004_on_the_floor"),
        ("scoring", "0005_every_score"),
        ("scoring", "0006_hours"),
    ]

    initial = True

    dependencies = [
        ("athletes", "0001_tables"),
        ("programming", "0001_tables"),
        ("tenancy", "0002_protect"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Prescription",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("number", models.PositiveIntegerField()),
                ("feasible", models.BooleanField()),
                ("content", models.JSONField()),
                ("forecast", models.JSONField(null=True)),
                ("basis", models.JSONField()),
                ("fingerprint", models.CharField(max_length=64)),
                ("method_version", models.PositiveSmallIntegerField()),
                ("issued_at", models.DateTimeField()),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
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
                (
                    "session",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.scheduledsession",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        fields=["org", "athlete", "-issued_at", "-id"], name="prescription_by_athlete"
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("org", "session", "athlete", "number"), name="prescription_number_once"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Ranking",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("official", models.JSONField()),
                ("by_forecast", models.JSONField()),
                ("by_block", models.JSONField(default=list)),
                ("overall", models.CharField(default="block", max_length=8)),
                ("computed_at", models.DateTimeField()),
                (
                    "org",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="tenancy.organisation",
                    ),
                ),
                (
                    "session",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.scheduledsession",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("org", "session"), name="ranking_once_per_session")
                ],
            },
        ),
        migrations.CreateModel(
            name="Override",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("work", models.JSONField()),
                ("acknowledged", models.JSONField(default=list)),
                ("cost", models.JSONField()),
                ("reason", models.CharField(max_length=500)),
                ("client_id", models.CharField(max_length=80, null=True)),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="athletes.athlete",
                    ),
                ),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
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
                (
                    "session",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.scheduledsession",
                    ),
                ),
                (
                    "against",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="scoring.prescription",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "session", "athlete"], name="override_by_session"),
                    models.Index(fields=["org", "-created_at", "-id"], name="override_newest"),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="override_client_id_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="CheckSet",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("work", models.CharField(max_length=40)),
                ("load_kg", models.FloatField(null=True)),
                ("assistance_kg", models.FloatField(null=True)),
                ("height_cm", models.FloatField(null=True)),
                ("amount", models.FloatField()),
                ("unit", models.CharField(max_length=12)),
                ("rir", models.PositiveSmallIntegerField(null=True)),
                ("ended_by", models.CharField(max_length=10)),
                ("performed_at", models.DateTimeField()),
                ("zone", models.CharField(max_length=64)),
                ("local_date", models.DateField()),
                ("client_id", models.CharField(max_length=80, null=True)),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
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
                (
                    "replaces",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="scoring.checkset",
                    ),
                ),
                (
                    "sent_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "session",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.scheduledsession",
                    ),
                ),
                (
                    "variation_version",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.variationversion",
                    ),
                ),
                (
                    "prescription",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="scoring.prescription",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        fields=["org", "athlete", "-performed_at", "-id"], name="check_set_by_athlete"
                    ),
                    models.Index(fields=["org", "session", "athlete"], name="check_set_by_session"),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="check_set_client_id_once"),
                    models.UniqueConstraint(fields=("org", "replaces"), name="check_set_replaced_once"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Attempt",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("kind", models.CharField(max_length=16)),
                ("as_sent", models.JSONField()),
                ("elapsed_s", models.FloatField(null=True)),
                ("performed_at", models.DateTimeField()),
                ("zone", models.CharField(max_length=64)),
                ("local_date", models.DateField()),
                ("reason", models.CharField(default="", max_length=500)),
                ("client_id", models.CharField(max_length=80, null=True)),
                ("note", models.CharField(default="", max_length=2000)),
                ("effort", models.FloatField(null=True)),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
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
                (
                    "replaces",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="scoring.attempt",
                    ),
                ),
                (
                    "sent_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "session",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.scheduledsession",
                    ),
                ),
                (
                    "prescription",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="scoring.prescription",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        fields=["org", "athlete", "-performed_at", "-id"], name="attempt_by_athlete"
                    ),
                    models.Index(fields=["org", "session", "athlete"], name="attempt_by_session"),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="attempt_client_id_once"),
                    models.UniqueConstraint(fields=("org", "replaces"), name="attempt_replaced_once"),
                    models.UniqueConstraint(
                        condition=models.Q(("replaces__isnull", True)),
                        fields=("org", "session", "athlete"),
                        name="attempt_once_per_athlete",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Review",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("findings", models.JSONField()),
                ("accepted", models.BooleanField(null=True)),
                ("resolved_at", models.DateTimeField(null=True)),
                ("resolution", models.CharField(default="", max_length=500)),
                (
                    "attempt",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="scoring.attempt",
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
                (
                    "resolved_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["org", "-created_at", "-id"], name="review_queue")],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "attempt"), name="review_once_per_attempt")
                ],
            },
        ),
        migrations.CreateModel(
            name="SetLog",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("ordinal", models.PositiveIntegerField()),
                ("work", models.CharField(max_length=40)),
                ("load_kg", models.FloatField(null=True)),
                ("assistance_kg", models.FloatField(null=True)),
                ("height_cm", models.FloatField(null=True)),
                ("repetitions", models.PositiveIntegerField(null=True)),
                ("hold_s", models.FloatField(null=True)),
                ("distance_m", models.FloatField(null=True)),
                ("energy_kcal", models.FloatField(null=True)),
                ("rest_before_s", models.FloatField(null=True)),
                ("duration_s", models.FloatField(null=True)),
                ("rir", models.PositiveSmallIntegerField(null=True)),
                ("ended_by", models.CharField(max_length=10)),
                ("interval", models.PositiveSmallIntegerField(null=True)),
                (
                    "attempt",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="sets",
                        to="scoring.attempt",
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
                (
                    "variation_version",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.variationversion",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("org", "attempt", "ordinal"), name="set_ordinal_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("distance_m__isnull", True),
                                ("energy_kcal__isnull", True),
                                ("hold_s__isnull", True),
                                ("repetitions__isnull", False),
                            ),
                            models.Q(
                                ("distance_m__isnull", True),
                                ("energy_kcal__isnull", True),
                                ("hold_s__isnull", False),
                                ("repetitions__isnull", True),
                            ),
                            models.Q(
                                ("distance_m__isnull", False),
                                ("energy_kcal__isnull", True),
                                ("hold_s__isnull", True),
                                ("repetitions__isnull", True),
                            ),
                            models.Q(
                                ("distance_m__isnull", True),
                                ("energy_kcal__isnull", False),
                                ("hold_s__isnull", True),
                                ("repetitions__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="set_has_one_amount",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="AttemptNote",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("text", models.CharField(max_length=2000)),
                ("client_id", models.CharField(max_length=80, null=True)),
                (
                    "attempt",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="scoring.attempt",
                    ),
                ),
                (
                    "author",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
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
                "indexes": [
                    models.Index(fields=["org", "attempt", "-created_at", "-id"], name="note_by_attempt")
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="attempt_note_client_id_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="OfficialScore",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("block", models.CharField(max_length=40)),
                ("rules_version", models.PositiveSmallIntegerField()),
                ("value", models.FloatField(null=True)),
                ("unit", models.CharField(max_length=16, null=True)),
                ("better", models.CharField(max_length=6, null=True)),
                ("score_s", models.FloatField(null=True)),
                ("elapsed_s", models.FloatField(null=True)),
                ("repetitions", models.PositiveIntegerField()),
                ("breaks", models.PositiveIntegerField(null=True)),
                ("penalty_s", models.FloatField(null=True)),
                ("misses", models.PositiveIntegerField(null=True)),
                ("split_s", models.FloatField(null=True)),
                ("rounds_completed", models.PositiveIntegerField(null=True)),
                ("last_round_amount", models.FloatField(null=True)),
                ("aim", models.JSONField(default=list)),
                ("state", models.CharField(max_length=10)),
                ("repetitions_by_work", models.JSONField()),
                ("amounts", models.JSONField(default=list)),
                ("own_amounts", models.BooleanField(default=False)),
                ("review_version", models.PositiveIntegerField(default=0)),
                ("computed_at", models.DateTimeField()),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="athletes.athlete",
                    ),
                ),
                (
                    "attempt",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="scoring.attempt",
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
                (
                    "session",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.scheduledsession",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("org", "session", "athlete", "block"), name="score_once_per_athlete_and_block"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="OverrideEnd",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("kind", models.CharField(max_length=10)),
                ("codes", models.JSONField(default=list)),
                ("reason", models.CharField(default="", max_length=500)),
                (
                    "ended_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
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
                (
                    "override",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="ends",
                        to="scoring.override",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("org", "override"), name="override_ended_once")
                ],
            },
        ),
        ProtectTables(
            "scoring",
            ["OfficialScore", "Review", "Ranking"],
            immutable=[
                "Prescription",
                "Attempt",
                "SetLog",
                "CheckSet",
                "Override",
                "OverrideEnd",
                "AttemptNote",
            ],
        ),
    ]

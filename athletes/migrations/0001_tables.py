import django.db.models.deletion
import services.tenancy.models.base
import uuid
from django.conf import settings
from django.db import migrations, models

from services.tenancy.operations import ProtectTables


class Migration(migrations.Migration):
    # One migration in place of those of development: each step of Django's over all tables costs a fifth of a second.

    replaces = [
        ("athletes", "0001_initial"),
        ("athletes", "0002_protect"),
        ("athletes", "0003_group_member"),
        ("athletes", "0004_safety"),
        ("athletes", "0005_day_change"),
        ("athletes", "0006_amounts_beside_repetitions"),
        ("athletes", "0007_cleared_by"),
        ("athletes", "0008_hours"),
        ("athletes", "0009_reports_by_what_was_told"),
        ("athletes", "0010_amounts_of_work"),
    ]

    initial = True

    dependencies = [
        ("programming", "0001_tables"),
        ("tenancy", "0002_protect"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Athlete",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("name", models.CharField(max_length=120)),
                ("sex", models.CharField(blank=True, default="", max_length=10)),
                ("born_on", models.DateField(null=True)),
                ("zone", models.CharField(max_length=64)),
                ("kit", models.JSONField(null=True)),
                ("trains_alone", models.BooleanField(default=False)),
                ("is_active", models.BooleanField(default=True)),
                ("client_id", models.CharField(max_length=80, null=True)),
                (
                    "location",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="tenancy.location",
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
                    "person",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "location", "name", "id"], name="athlete_by_location")
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="athlete_client_id_once"),
                    models.UniqueConstraint(
                        condition=models.Q(("person__isnull", False)),
                        fields=("org", "person"),
                        name="athlete_once_per_person",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PriorSnapshot",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("number", models.PositiveIntegerField()),
                ("document", models.JSONField()),
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
                "constraints": [models.UniqueConstraint(fields=("org", "number"), name="prior_number_once")],
            },
        ),
        migrations.CreateModel(
            name="SafetySettings",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("missing_screening_holds", models.BooleanField(default=False)),
                ("emergency_number", models.CharField(blank=True, default="", max_length=40)),
                ("emergency_text", models.CharField(blank=True, default="", max_length=1000)),
                (
                    "location",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="tenancy.location",
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
                    "recipient",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="tenancy.membership",
                    ),
                ),
                (
                    "set_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "location", "-created_at"], name="safety_settings_newest")
                ],
            },
        ),
        migrations.CreateModel(
            name="BodyMass",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("body_mass_kg", models.FloatField()),
                ("measured_at", models.DateTimeField()),
                ("zone", models.CharField(max_length=64)),
                ("local_date", models.DateField()),
                ("client_id", models.CharField(max_length=80, null=True)),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="body_masses",
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
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "athlete", "-measured_at", "-id"], name="body_mass_latest")
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="body_mass_client_id_once"),
                    models.CheckConstraint(
                        condition=models.Q(("body_mass_kg__gte", 20), ("body_mass_kg__lte", 400)),
                        name="body_mass_is_human",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Capacity",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("state", models.JSONField()),
                ("observations", models.PositiveIntegerField()),
                ("inputs", models.CharField(max_length=64)),
                ("method_version", models.PositiveSmallIntegerField()),
                ("as_of", models.DateField()),
                ("computed_at", models.DateTimeField()),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="capacities",
                        to="athletes.athlete",
                    ),
                ),
                (
                    "movement",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.movement",
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
                    "prior",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="athletes.priorsnapshot",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("org", "athlete", "movement"), name="capacity_once_per_movement"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="DayChange",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("kind", models.CharField(max_length=12)),
                ("items", models.JSONField(default=list)),
                ("hazards", models.JSONField(default=list)),
                ("muscle_groups", models.JSONField(default=list)),
                ("note", models.CharField(default="", max_length=500)),
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
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "athlete", "session"], name="day_change_by_athlete"),
                    models.Index(fields=["org", "session", "kind"], name="day_change_by_session"),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="day_change_client_id_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="GroupMember",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("from_date", models.DateField()),
                ("until_date", models.DateField(null=True)),
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
                    "group",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.group",
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
                    "set_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["org", "athlete", "group"], name="group_member_by_athlete")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("until_date", None), ("until_date__gte", models.F("from_date")), _connector="OR"
                        ),
                        name="group_member_days_in_order",
                    ),
                    models.UniqueConstraint(
                        fields=("org", "group", "athlete", "from_date"),
                        name="group_member_once_per_first_day",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HoldRelease",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("code", models.CharField(max_length=24)),
                ("cause", models.UUIDField()),
                ("covers", models.JSONField()),
                ("reason", models.CharField(max_length=500)),
                ("cleared_by", models.CharField(blank=True, default="", max_length=500)),
                ("local_date", models.DateField()),
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
                    "released_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "athlete", "-created_at", "-id"], name="release_by_athlete")
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "code", "cause"), name="hold_released_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="Limitation",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("hazard", models.CharField(max_length=30)),
                ("note", models.CharField(blank=True, default="", max_length=500)),
                ("from_date", models.DateField()),
                ("until_date", models.DateField(null=True)),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="limitations",
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
                    "set_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "athlete", "from_date"], name="limitation_by_athlete")
                ],
            },
        ),
        migrations.CreateModel(
            name="Observation",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("source", models.CharField(max_length=12)),
                ("source_id", models.UUIDField()),
                ("ordinal", models.PositiveIntegerField(default=0)),
                ("local_date", models.DateField()),
                ("hour", models.FloatField(default=12.0)),
                ("kind", models.CharField(max_length=16)),
                ("load_kg", models.FloatField(null=True)),
                ("assistance_kg", models.FloatField(null=True)),
                ("height_cm", models.FloatField(null=True)),
                ("repetitions", models.FloatField()),
                ("rir", models.FloatField(null=True)),
                ("weight", models.FloatField(default=1.0)),
                ("unit", models.CharField(default="repetitions", max_length=12)),
                ("amount", models.FloatField(null=True)),
                ("seconds", models.FloatField(null=True)),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="observations",
                        to="athletes.athlete",
                    ),
                ),
                (
                    "movement",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.movement",
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
                "indexes": [
                    models.Index(
                        fields=["org", "athlete", "movement", "local_date"], name="observation_history"
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("org", "source", "source_id", "ordinal"), name="observation_once"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Report",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("kind", models.CharField(max_length=10)),
                ("sign", models.CharField(blank=True, default="", max_length=30)),
                ("site", models.CharField(blank=True, default="", max_length=30)),
                ("side", models.CharField(blank=True, default="", max_length=10)),
                ("severity", models.PositiveSmallIntegerField(null=True)),
                ("during", models.CharField(blank=True, default="", max_length=120)),
                ("note", models.CharField(blank=True, default="", max_length=1000)),
                ("happened_at", models.DateTimeField()),
                ("zone", models.CharField(max_length=64)),
                ("local_date", models.DateField()),
                ("taken_otherwise", models.JSONField(default=list)),
                ("client_id", models.CharField(max_length=80, null=True)),
                ("told_digest", models.CharField(blank=True, default="", max_length=64)),
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
                    "reported_by",
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
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.scheduledsession",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["org", "athlete", "local_date"], name="report_by_athlete")],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("org", "athlete", "client_id", "told_digest"), name="report_told_once"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Screening",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("question_set", models.PositiveSmallIntegerField()),
                ("answers", models.JSONField()),
                ("concern", models.BooleanField()),
                ("used_to_vigorous_effort", models.BooleanField()),
                ("zone", models.CharField(max_length=64)),
                ("local_date", models.DateField()),
                ("expires_on", models.DateField()),
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
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "athlete", "-created_at", "-id"], name="screening_newest")
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="screening_client_id_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="StaffHold",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("reason", models.CharField(max_length=500)),
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
                    "set_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["org", "athlete"], name="staff_hold_by_athlete")],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="staff_hold_client_id_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="WorkDone",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("source", models.CharField(max_length=12)),
                ("source_id", models.UUIDField()),
                ("local_date", models.DateField()),
                ("hour", models.FloatField(default=12.0)),
                ("repetitions", models.FloatField(default=0.0)),
                ("failure_repetitions", models.FloatField(default=0.0)),
                ("eccentric", models.FloatField(default=0.5)),
                ("amounts", models.JSONField(default=dict)),
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
                    "movement",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.movement",
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
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["org", "athlete", "local_date"], name="work_done_by_day")],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("org", "source", "source_id", "movement"), name="work_done_once_per_source"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Absence",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("origin", models.CharField(max_length=10)),
                ("from_date", models.DateField()),
                ("to_date", models.DateField()),
                ("peak_volumes", models.JSONField()),
                ("peak_amounts", models.JSONField(default=dict)),
                ("client_id", models.CharField(max_length=80, null=True)),
                (
                    "org",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="tenancy.organisation",
                    ),
                ),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="athletes.athlete",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "athlete", "-from_date", "-id"], name="absence_by_athlete")
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="absence_client_id_once"),
                    models.UniqueConstraint(
                        condition=models.Q(("origin", "silence")),
                        fields=("org", "athlete", "from_date"),
                        name="absence_asked_once",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Assessment",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("kind", models.CharField(max_length=20)),
                ("load_kg", models.FloatField(null=True)),
                ("assistance_kg", models.FloatField(null=True)),
                ("height_cm", models.FloatField(null=True)),
                ("repetitions", models.PositiveIntegerField(null=True)),
                ("rir", models.PositiveSmallIntegerField(null=True)),
                ("hold_s", models.FloatField(null=True)),
                ("distance_m", models.FloatField(null=True)),
                ("energy_kcal", models.FloatField(null=True)),
                ("elapsed_s", models.FloatField(null=True)),
                ("ended_by", models.CharField(max_length=10)),
                ("performed_at", models.DateTimeField()),
                ("zone", models.CharField(max_length=64)),
                ("local_date", models.DateField()),
                ("reason", models.CharField(default="", max_length=500)),
                ("client_id", models.CharField(max_length=80, null=True)),
                (
                    "org",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="tenancy.organisation",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "replaces",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="athletes.assessment",
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
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="assessments",
                        to="athletes.athlete",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        fields=["org", "athlete", "-performed_at", "-id"], name="assessment_by_athlete"
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "client_id"), name="assessment_client_id_once"),
                    models.UniqueConstraint(fields=("org", "replaces"), name="assessment_replaced_once"),
                ],
            },
        ),
        migrations.CreateModel(
            name="DayChangeEnd",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                (
                    "day_change",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="ends",
                        to="athletes.daychange",
                    ),
                ),
                (
                    "ended_by",
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
                "constraints": [
                    models.UniqueConstraint(fields=("org", "day_change"), name="day_change_ended_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="ReportReview",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("is_closed", models.BooleanField(default=False)),
                ("acknowledged_at", models.DateTimeField(null=True)),
                ("note", models.CharField(blank=True, default="", max_length=500)),
                (
                    "acknowledged_by",
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
                    "recipient",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="tenancy.membership",
                    ),
                ),
                (
                    "report",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="athletes.report",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "is_closed", "created_at", "id"], name="report_queue")
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "report"), name="report_reviewed_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="ScreeningVoid",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("note", models.CharField(default="", max_length=500)),
                ("local_date", models.DateField()),
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
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "screening",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="athletes.screening",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("org", "screening"), name="screening_voided_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="AbsenceAnswer",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("trained", models.BooleanField()),
                ("kind", models.CharField(blank=True, default="", max_length=24)),
                ("to_date", models.DateField()),
                ("what_was_done", models.CharField(blank=True, default="", max_length=500)),
                ("local_date", models.DateField()),
                (
                    "absence",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="answers",
                        to="athletes.absence",
                    ),
                ),
                (
                    "answered_by",
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
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="athletes.athlete",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("org", "absence"), name="absence_answered_once")
                ],
            },
        ),
        ProtectTables(
            "athletes",
            [
                "Athlete",
                "BodyMass",
                "Limitation",
                "Observation",
                "Capacity",
                "GroupMember",
                "ReportReview",
                "WorkDone",
            ],
            immutable=[
                "Assessment",
                "PriorSnapshot",
                "Screening",
                "ScreeningVoid",
                "StaffHold",
                "HoldRelease",
                "Absence",
                "AbsenceAnswer",
                "Report",
                "SafetySettings",
                "DayChange",
                "DayChangeEnd",
            ],
        ),
    ]

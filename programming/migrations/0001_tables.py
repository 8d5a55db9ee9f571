import django.db.models.deletion
import services.tenancy.models.base
import uuid
from django.conf import settings
from django.db import migrations, models

from services.tenancy.operations import ProtectTables


class Migration(migrations.Migration):
    # One migration in place of those of development: each step of Django's over all tables costs a fifth of a second.

    replaces = [
        ("programming", "0001_initial"),
        ("programming", "0002_protect"),
        ("programming", "0003_movement_capacity_kind"),
        ("programming", "0004_calendar_groups_local_versions"),
    ]

    initial = True

    dependencies = [
        ("tenancy", "0002_protect"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Group",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("name", models.CharField(max_length=120)),
                ("is_active", models.BooleanField(default=True)),
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
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("org", "name"), name="group_name_once_per_org")
                ],
            },
        ),
        migrations.CreateModel(
            name="LocationKit",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("document", models.JSONField()),
                (
                    "location",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="kits",
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
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("org", "location"), name="kit_once_per_location")
                ],
            },
        ),
        migrations.CreateModel(
            name="Movement",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("key", models.SlugField(max_length=60)),
                ("name", models.CharField(max_length=120)),
                ("pattern", models.CharField(max_length=30)),
                ("capacity_kind", models.CharField(default="load_repetition", max_length=20)),
                ("prior", models.JSONField()),
                ("origin", models.CharField(default="", max_length=120)),
                ("origin_hash", models.CharField(default="", max_length=64)),
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
                    models.UniqueConstraint(fields=("org", "key"), name="movement_key_once_per_org"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("capacity_kind__in", ("load_repetition", "hold", "cyclical", "none"))
                        ),
                        name="movement_capacity_kind_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Revision",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("number", models.PositiveIntegerField()),
                ("document", models.JSONField()),
                ("sha256", models.CharField(max_length=64)),
                ("rules_version", models.PositiveSmallIntegerField()),
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
                    "published_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="ScheduledSession",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("starts_at", models.DateTimeField()),
                ("zone", models.CharField(max_length=64)),
                ("local_date", models.DateField()),
                ("cancelled_at", models.DateTimeField(null=True)),
                ("copy_week", models.DateField(null=True)),
                (
                    "copied_from",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.scheduledsession",
                    ),
                ),
                (
                    "group",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.group",
                    ),
                ),
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
                    "placed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "revision",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="scheduled",
                        to="programming.revision",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["org", "location", "-starts_at", "-id"], name="session_by_location"),
                    models.Index(fields=["org", "group", "-starts_at", "-id"], name="session_by_group"),
                    models.Index(fields=["org", "-starts_at", "-id"], name="session_by_time"),
                ],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("org", "copied_from", "copy_week"), name="copied_once_to_a_week"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Template",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("name", models.CharField(max_length=120)),
                ("draft", models.JSONField()),
                ("archived_at", models.DateTimeField(null=True)),
                (
                    "copied_from",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.template",
                    ),
                ),
                (
                    "copied_revision",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.revision",
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
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Variation",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("key", models.SlugField(max_length=60)),
                ("name", models.CharField(max_length=120)),
                ("current", models.PositiveIntegerField(default=1)),
                (
                    "movement",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="variations",
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
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("org", "key"), name="variation_key_once_per_org")
                ],
            },
        ),
        migrations.CreateModel(
            name="LocalVersion",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("number", models.PositiveIntegerField()),
                ("reason", models.CharField(max_length=500)),
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
                    "origin",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.revision",
                    ),
                ),
                (
                    "revision",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.revision",
                    ),
                ),
                (
                    "template",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="programming.template",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("org", "location", "template", "number"), name="local_version_number_once"
                    ),
                    models.UniqueConstraint(
                        fields=("org", "revision"), name="local_version_once_per_revision"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="VariationVersion",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("number", models.PositiveIntegerField()),
                ("document", models.JSONField()),
                ("sha256", models.CharField(max_length=64)),
                (
                    "org",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="tenancy.organisation",
                    ),
                ),
                (
                    "variation",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="versions",
                        to="programming.variation",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("org", "variation", "number"), name="variation_version_once"
                    )
                ],
            },
        ),
        migrations.AddField(
            model_name="revision",
            name="template",
            field=services.tenancy.models.base.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="revisions",
                to="programming.template",
            ),
        ),
        migrations.AddConstraint(
            model_name="revision",
            constraint=models.UniqueConstraint(
                fields=("org", "template", "location", "number"),
                name="revision_number_once",
                nulls_distinct=False,
            ),
        ),
        ProtectTables(
            "programming",
            ["Movement", "Variation", "LocationKit", "Template", "ScheduledSession", "Group"],
            immutable=["VariationVersion", "Revision", "LocalVersion"],
        ),
    ]

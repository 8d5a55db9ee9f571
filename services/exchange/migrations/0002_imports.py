import django.db.models.deletion
import services.tenancy.models.base
import uuid
from django.conf import settings
from django.db import migrations, models

from services.tenancy.operations import ProtectTables


class Migration(migrations.Migration):
    dependencies = [
        ("athletes", "0001_tables"),
        ("exchange", "0001_feeds"),
        ("tenancy", "0002_protect"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Import",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("kind", models.CharField(max_length=20)),
                ("dry_run", models.BooleanField()),
                ("columns", models.JSONField()),
                ("sha256", models.CharField(max_length=64)),
                ("text", models.TextField()),
                ("rows_total", models.PositiveIntegerField()),
                ("rows_done", models.PositiveIntegerField(default=0)),
                ("created_rows", models.PositiveIntegerField(default=0)),
                ("duplicate_rows", models.PositiveIntegerField(default=0)),
                ("invalid_rows", models.PositiveIntegerField(default=0)),
                ("ignored_columns", models.JSONField()),
                ("state", models.CharField(default="waiting", max_length=10)),
                ("reason", models.CharField(default="", max_length=500)),
                ("finished_at", models.DateTimeField(null=True)),
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
            ],
        ),
        migrations.CreateModel(
            name="ImportRow",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("number", models.PositiveIntegerField()),
                ("outcome", models.CharField(max_length=10)),
                ("record", models.UUIDField(null=True)),
                ("problems", models.JSONField(default=list)),
                (
                    "athlete",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        null=True,
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
                    "taken",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="rows",
                        to="exchange.import",
                    ),
                ),
            ],
        ),
        migrations.AddIndex(
            model_name="import",
            index=models.Index(fields=["org", "-created_at", "-id"], name="import_newest"),
        ),
        migrations.AddConstraint(
            model_name="import",
            constraint=models.UniqueConstraint(
                condition=models.Q(("dry_run", False), models.Q(("state", "failed"), _negated=True)),
                fields=("org", "made_by", "sha256"),
                name="import_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="importrow",
            constraint=models.UniqueConstraint(fields=("org", "taken", "number"), name="import_row_once"),
        ),
        ProtectTables("exchange", ["Import", "ImportRow"]),
    ]

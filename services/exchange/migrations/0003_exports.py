import django.db.models.deletion
import services.tenancy.models.base
import uuid
from django.conf import settings
from django.db import migrations, models

from services.tenancy.operations import ProtectTables


class Migration(migrations.Migration):
    dependencies = [
        ("athletes", "0001_tables"),
        ("exchange", "0002_imports"),
        ("tenancy", "0002_protect"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Export",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("state", models.CharField(default="waiting", max_length=10)),
                ("reason", models.CharField(default="", max_length=500)),
                ("sheets_total", models.PositiveIntegerField()),
                ("sheets_done", models.PositiveIntegerField(default=0)),
                ("cursor", models.CharField(default="", max_length=40)),
                ("size", models.PositiveBigIntegerField(default=0)),
                ("finished_at", models.DateTimeField(null=True)),
                ("expires_at", models.DateTimeField(null=True)),
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
            name="ExportPiece",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("sheet", models.CharField(max_length=80)),
                ("ordinal", models.PositiveIntegerField()),
                ("rows", models.PositiveIntegerField()),
                ("csv", models.BinaryField()),
                ("json_lines", models.BinaryField()),
                (
                    "export",
                    services.tenancy.models.base.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="pieces",
                        to="exchange.export",
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
        migrations.AddIndex(
            model_name="export",
            index=models.Index(fields=["org", "-created_at", "-id"], name="export_newest"),
        ),
        migrations.AddConstraint(
            model_name="exportpiece",
            constraint=models.UniqueConstraint(fields=("org", "export", "ordinal"), name="export_piece_once"),
        ),
        ProtectTables("exchange", ["Export", "ExportPiece"]),
    ]

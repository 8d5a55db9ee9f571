import django.db.models.deletion
import services.tenancy.models.base
import uuid
from django.conf import settings
from django.db import migrations, models

from services.tenancy.operations import ProtectTables

LOOKED_UP_DIGEST = "(SELECT nullif(current_setting('app.digest', true), ''))"

# Who reads a calendar shows nothing but its secret: that row is found before a tenant is known, and no other.
BY_SECRET = f"CREATE POLICY by_secret ON exchange_feed FOR SELECT USING (digest = {LOOKED_UP_DIGEST})"


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("athletes", "0001_tables"),
        ("tenancy", "0002_protect"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Feed",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("label", models.CharField(max_length=80)),
                ("entry_minutes", models.PositiveSmallIntegerField()),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("reads", models.PositiveIntegerField(default=0)),
                ("reads_since", models.DateTimeField(null=True)),
                ("last_read_at", models.DateTimeField(null=True)),
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
            options={
                "indexes": [models.Index(fields=["org", "-created_at", "-id"], name="feed_newest")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("athlete", None), ("location", None), _connector="XOR"),
                        name="feed_has_one_subject",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("entry_minutes__gte", 5), ("entry_minutes__lte", 480)),
                        name="feed_entry_has_a_length",
                    ),
                ],
            },
        ),
        ProtectTables("exchange", ["Feed"]),
        migrations.RunSQL(BY_SECRET),
    ]

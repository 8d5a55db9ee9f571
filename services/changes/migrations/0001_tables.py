import django.db.models.deletion
import uuid
from django.db import migrations, models

from services.tenancy.operations import RELAY, ProtectTables


# The relay reads and marks the change rows of every organisation: what its statements name, and no more, since
# an error may quote a value of a person. The counters are updated often: leave room on the page, so that updates
# stay on it and touch no index.
COLUMNS = "id, org_id, priority, version, done, sent_at, sent_version, due_at, parked_at"
RELAY_SEES_CHANGES = f"""
CREATE POLICY relay_reads ON changes_change FOR SELECT TO {RELAY} USING (true);
CREATE POLICY relay_marks ON changes_change FOR UPDATE TO {RELAY} USING (true) WITH CHECK (true);
GRANT SELECT ({COLUMNS}) ON changes_change TO {RELAY};
GRANT UPDATE (sent_at, sent_version) ON changes_change TO {RELAY};
ALTER TABLE changes_change SET (fillfactor = 80);
"""


class Migration(migrations.Migration):
    # One migration in place of those of development: each step of Django's over all tables costs a fifth of a second.

    replaces = [("changes", "0001_initial"), ("changes", "0002_protect"), ("changes", "0003_relay_fair")]

    initial = True

    dependencies = [
        ("tenancy", "0002_protect"),
    ]

    operations = [
        migrations.CreateModel(
            name="Change",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("kind", models.CharField(max_length=30)),
                ("subject", models.UUIDField()),
                ("from_date", models.DateField(null=True)),
                ("priority", models.SmallIntegerField(default=0)),
                ("version", models.BigIntegerField(default=1)),
                ("done", models.BigIntegerField(default=0)),
                ("sent_at", models.DateTimeField(null=True)),
                ("sent_version", models.BigIntegerField(default=0)),
                ("due_at", models.DateTimeField()),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("error", models.TextField(default="")),
                ("parked_at", models.DateTimeField(null=True)),
                ("marked_at", models.DateTimeField()),
                ("done_at", models.DateTimeField(null=True)),
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
                    models.Index(
                        condition=models.Q(("parked_at", None), ("version__gt", models.F("done"))),
                        fields=["org", "priority", "due_at"],
                        name="change_due",
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("org", "kind", "subject"), name="change_once_per_subject")
                ],
            },
        ),
        ProtectTables("changes", ["Change"]),
        migrations.RunSQL(RELAY_SEES_CHANGES),
    ]

from django.db import migrations, models

from services.tenancy.operations import RELAY

# What the relay's statements name, and no more: an error may quote a value of a person.
COLUMNS = "id, org_id, priority, version, done, sent_at, sent_version, due_at, parked_at"
RELAY_SEES_LESS = f"""
REVOKE SELECT ON changes_change FROM {RELAY};
GRANT SELECT ({COLUMNS}) ON changes_change TO {RELAY};
"""


class Migration(migrations.Migration):
    dependencies = [("changes", "0002_protect")]

    operations = [
        # The relay takes turns between organisations: the next few of each, not the next few of all.
        migrations.RemoveIndex(model_name="change", name="change_due"),
        migrations.AddIndex(
            model_name="change",
            index=models.Index(
                condition=models.Q(("parked_at", None), ("version__gt", models.F("done"))),
                fields=["org", "priority", "due_at"],
                name="change_due",
            ),
        ),
        migrations.RunSQL(RELAY_SEES_LESS),
    ]

from django.db import migrations, models

# The type of a column is changed instead of its rows: the tables are under row-level security with FORCE, under
# which an UPDATE outside a tenant meets no row at all.
FORWARDS = [
    'ALTER TABLE "programming_movement" RENAME COLUMN "curve_applies" TO "capacity_kind"',
    'ALTER TABLE "programming_movement" ALTER COLUMN "capacity_kind" TYPE varchar(20) '
    "USING CASE WHEN \"capacity_kind\" THEN 'load_repetition' ELSE 'none' END",
]
BACKWARDS = [
    'ALTER TABLE "programming_movement" ALTER COLUMN "capacity_kind" TYPE boolean '
    "USING \"capacity_kind\" = 'load_repetition'",
    'ALTER TABLE "programming_movement" RENAME COLUMN "capacity_kind" TO "curve_applies"',
]


class Migration(migrations.Migration):
    dependencies = [("programming", "0002_protect")]

    operations = [
        migrations.RunSQL(
            sql=FORWARDS,
            reverse_sql=BACKWARDS,
            state_operations=[
                migrations.RemoveField(model_name="movement", name="curve_applies"),
                migrations.AddField(
                    model_name="movement",
                    name="capacity_kind",
                    field=models.CharField(default="load_repetition", max_length=20),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="movement",
            constraint=models.CheckConstraint(
                condition=models.Q(capacity_kind__in=("load_repetition", "hold", "cyclical", "none")),
                name="movement_capacity_kind_known",
            ),
        ),
    ]

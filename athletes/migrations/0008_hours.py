from django.db import migrations, models

# Rows from before counted as done at noon; of tests the hour is known. An UPDATE outside a tenant meets no row under
# FORCE, so that the owner of the tables reads past row-level security for these statements.
TABLES = ("athletes_observation", "athletes_workdone", "athletes_assessment")
FILL = [
    "SET CONSTRAINTS ALL IMMEDIATE",
    *[f'ALTER TABLE "{table}" NO FORCE ROW LEVEL SECURITY' for table in TABLES],
    *[
        f"""
    UPDATE {table} AS told
    SET hour = round(extract(epoch FROM (test.performed_at AT TIME ZONE test.zone)::time) / 3600, 6)
    FROM athletes_assessment AS test
    WHERE told.source = 'assessment' AND (test.org_id, test.id) = (told.org_id, told.source_id)
    """
        for table in ("athletes_observation", "athletes_workdone")
    ],
    *[f'ALTER TABLE "{table}" FORCE ROW LEVEL SECURITY' for table in TABLES],
]


class Migration(migrations.Migration):
    dependencies = [("athletes", "0007_cleared_by")]

    operations = [
        migrations.AddField(
            model_name="observation",
            name="hour",
            field=models.FloatField(default=12.0),
        ),
        migrations.AddField(
            model_name="workdone",
            name="hour",
            field=models.FloatField(default=12.0),
        ),
        migrations.RunSQL(sql=FILL, reverse_sql=migrations.RunSQL.noop),
    ]

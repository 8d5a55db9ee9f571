from django.db import migrations

# What results and check sets told before counted as done at noon; here their hour is known. As in 0005 the owner of
# the tables reads past row-level security for these statements.
TABLES = ("athletes_observation", "athletes_workdone", "scoring_attempt", "scoring_checkset")
SOURCES = (
    ("athletes_observation", "attempt", "scoring_attempt"),
    ("athletes_observation", "check_set", "scoring_checkset"),
    ("athletes_workdone", "attempt", "scoring_attempt"),
)
FILL = [
    "SET CONSTRAINTS ALL IMMEDIATE",
    *[f'ALTER TABLE "{table}" NO FORCE ROW LEVEL SECURITY' for table in TABLES],
    *[
        f"""
    UPDATE {table} AS told
    SET hour = round(extract(epoch FROM (done.performed_at AT TIME ZONE done.zone)::time) / 3600, 6)
    FROM {source} AS done
    WHERE told.source = '{name}' AND (done.org_id, done.id) = (told.org_id, told.source_id)
    """
        for table, name, source in SOURCES
    ],
    *[f'ALTER TABLE "{table}" FORCE ROW LEVEL SECURITY' for table in TABLES],
]


class Migration(migrations.Migration):
    dependencies = [
        ("athletes", "0008_hours"),
        ("scoring", "0005_every_score"),
    ]

    operations = [migrations.RunSQL(sql=FILL, reverse_sql=migrations.RunSQL.noop)]

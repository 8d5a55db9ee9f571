from django.db import migrations

from services.tenancy.operations import APP, ERASURE, READONLY

CURRENT_PERSON = "(SELECT nullif(current_setting('app.person', true), '')::uuid)"
PRESENTED_KEY = "(SELECT nullif(current_setting('app.token_key', true), ''))"

TOKENS = f"""
ALTER TABLE access_apitoken ENABLE ROW LEVEL SECURITY;
ALTER TABLE access_apitoken FORCE ROW LEVEL SECURITY;
CREATE POLICY of_person ON access_apitoken USING (user_id = {CURRENT_PERSON}) WITH CHECK (user_id = {CURRENT_PERSON});
CREATE POLICY presented ON access_apitoken USING (token_key = {PRESENTED_KEY}) WITH CHECK (token_key = {PRESENTED_KEY});
CREATE POLICY by_token ON tenancy_person FOR SELECT
    USING (id IN (SELECT user_id FROM access_apitoken WHERE token_key = {PRESENTED_KEY}));
GRANT SELECT, INSERT, UPDATE, DELETE ON access_apitoken TO {APP};
GRANT SELECT, DELETE ON access_apitoken TO {ERASURE};
"""

# Sign-in attempts are counted before anybody is known, so these tables belong to nobody's organisation.
LIBRARY_TABLES = f"""
GRANT SELECT, INSERT, UPDATE, DELETE ON axes_accessattempt, axes_accessattemptexpiration,
    axes_accessfailurelog, axes_accesslog TO {APP};
GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA public TO {APP};
GRANT SELECT ON django_content_type TO {APP}, {READONLY};
"""


class Migration(migrations.Migration):
    dependencies = [
        ("access", "0001_initial"),
        ("tenancy", "0002_protect"),
        ("axes", "0010_accessattemptexpiration"),
        ("contenttypes", "0002_remove_content_type_name"),
    ]

    operations = [migrations.RunSQL(TOKENS), migrations.RunSQL(LIBRARY_TABLES)]

from django.db import migrations

from services.tenancy.operations import (
    APP,
    CURRENT_ORG,
    ERASURE,
    READONLY,
    REFUSE_CHANGE,
    RELAY,
    ProtectTables,
)

CURRENT_PERSON = "(SELECT nullif(current_setting('app.person', true), '')::uuid)"
LOOKED_UP_EMAIL = "(SELECT nullif(current_setting('app.email', true), ''))"
LOOKED_UP_DIGEST = "(SELECT nullif(current_setting('app.digest', true), ''))"

# Persons and organisations are owned by themselves. A person is seen by themselves, by whoever knows the
# e-mail address at sign-in, and by members of an organisation that they belong to.
SELF_OWNED = f"""
ALTER TABLE tenancy_organisation ENABLE ROW LEVEL SECURITY;
ALTER TABLE tenancy_organisation FORCE ROW LEVEL SECURITY;
CREATE POLICY itself ON tenancy_organisation USING (id = {CURRENT_ORG}) WITH CHECK (id = {CURRENT_ORG});
CREATE POLICY of_member ON tenancy_organisation FOR SELECT
    USING (id IN (SELECT org_id FROM tenancy_membership WHERE person_id = {CURRENT_PERSON}));
CREATE POLICY relay_reads ON tenancy_organisation FOR SELECT TO {RELAY} USING (true);
GRANT SELECT, INSERT, UPDATE ON tenancy_organisation TO {APP};
GRANT SELECT (id) ON tenancy_organisation TO {RELAY};
GRANT SELECT ON tenancy_organisation TO {READONLY};
GRANT SELECT, UPDATE, DELETE ON tenancy_organisation TO {ERASURE};

ALTER TABLE tenancy_person ENABLE ROW LEVEL SECURITY;
ALTER TABLE tenancy_person FORCE ROW LEVEL SECURITY;
CREATE POLICY itself ON tenancy_person USING (id = {CURRENT_PERSON}) WITH CHECK (id = {CURRENT_PERSON});
CREATE POLICY signing_in ON tenancy_person FOR SELECT USING (email = {LOOKED_UP_EMAIL});
CREATE POLICY joining ON tenancy_person FOR INSERT WITH CHECK (email = {LOOKED_UP_EMAIL});
CREATE POLICY fellow_member ON tenancy_person FOR SELECT
    USING (id IN (SELECT person_id FROM tenancy_membership WHERE org_id = {CURRENT_ORG}));
GRANT SELECT, INSERT, UPDATE ON tenancy_person TO {APP};
GRANT SELECT (id, name) ON tenancy_person TO {READONLY};
GRANT SELECT, UPDATE, DELETE ON tenancy_person TO {ERASURE};

CREATE POLICY of_person ON tenancy_membership FOR SELECT USING (person_id = {CURRENT_PERSON});
CREATE POLICY by_secret ON tenancy_invitation FOR SELECT USING (digest = {LOOKED_UP_DIGEST});
GRANT SELECT ON django_migrations TO {APP};
"""


class Migration(migrations.Migration):
    dependencies = [("tenancy", "0001_initial")]

    operations = [
        migrations.RunSQL(REFUSE_CHANGE),
        ProtectTables("tenancy", ["Location", "Membership", "MembershipLocation", "Invitation"]),
        migrations.RunSQL(SELF_OWNED),
    ]

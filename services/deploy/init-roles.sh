#!/bin/sh
# Run once by the PostgreSQL image when its volume is empty: roles, their passwords, the database.
# The passwords go through the environment into psql variables, never into a process list.
set -eu

psql -v ON_ERROR_STOP=1 --no-psqlrc -U "$POSTGRES_USER" -d postgres -f "${ROLES_SQL:-/opt/dosewright/roles.sql}"

psql -v ON_ERROR_STOP=1 --no-psqlrc -U "$POSTGRES_USER" -d postgres <<'SQL'
\getenv owner DATABASE_OWNER_PASSWORD
\getenv app DATABASE_APP_PASSWORD
\getenv relay DATABASE_RELAY_PASSWORD
\getenv erasure DATABASE_ERASURE_PASSWORD
\getenv readonly DATABASE_READONLY_PASSWORD
ALTER ROLE dosewright_owner PASSWORD :'owner';
ALTER ROLE dosewright_app PASSWORD :'app';
ALTER ROLE dosewright_relay PASSWORD :'relay';
ALTER ROLE dosewright_erasure PASSWORD :'erasure';
ALTER ROLE dosewright_readonly PASSWORD :'readonly';
SELECT 'CREATE DATABASE dosewright OWNER dosewright_owner'
 WHERE NOT EXISTS (SELECT FROM pg_database WHERE datname = 'dosewright') \gexec
\connect template1
REVOKE CREATE ON SCHEMA public FROM PUBLIC;
\connect dosewright
REVOKE CREATE ON SCHEMA public FROM PUBLIC;
SQL

-- The database roles of Dosewright, made or repaired by the cluster's superuser.
--
-- May run again and again. Nothing here names a password or depends on one database: passwords are
-- set by whoever runs this, and rights on tables are granted by the migrations.
--
--   dosewright_owner     owns the databases, runs migrations, makes test databases
--   dosewright_app       web and workers; row-level security holds for it
--   dosewright_relay     hands stored changes to the queue, sees nothing else
--   dosewright_erasure   alone may change rows that are immutable to all others
--   dosewright_readonly  looks, never writes

DO $$
DECLARE
    wanted text;
BEGIN
    FOREACH wanted IN ARRAY ARRAY[
        'dosewright_owner', 'dosewright_app', 'dosewright_relay', 'dosewright_erasure', 'dosewright_readonly'
    ] LOOP
        IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = wanted) THEN
            EXECUTE format('CREATE ROLE %I', wanted);
        END IF;
        EXECUTE format(
            'ALTER ROLE %I LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS INHERIT', wanted
        );
    END LOOP;
END
$$;

ALTER ROLE dosewright_owner CREATEDB;
-- A migration that waits longer for a lock would hold up every request queued behind it.
ALTER ROLE dosewright_owner SET lock_timeout = '10s';

ALTER ROLE dosewright_app SET statement_timeout = '15s';
ALTER ROLE dosewright_app SET lock_timeout = '2s';
ALTER ROLE dosewright_app SET idle_in_transaction_session_timeout = '60s';

ALTER ROLE dosewright_relay SET statement_timeout = '15s';
ALTER ROLE dosewright_relay SET lock_timeout = '2s';
ALTER ROLE dosewright_relay SET idle_in_transaction_session_timeout = '60s';

-- An erasure touches every table of one person and waits for running submissions.
ALTER ROLE dosewright_erasure SET statement_timeout = '300s';
ALTER ROLE dosewright_erasure SET lock_timeout = '10s';
ALTER ROLE dosewright_erasure SET idle_in_transaction_session_timeout = '60s';

ALTER ROLE dosewright_readonly SET default_transaction_read_only = on;
ALTER ROLE dosewright_readonly SET statement_timeout = '60s';
ALTER ROLE dosewright_readonly SET lock_timeout = '2s';
ALTER ROLE dosewright_readonly SET idle_in_transaction_session_timeout = '60s';

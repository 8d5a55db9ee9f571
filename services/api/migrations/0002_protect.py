from django.db import migrations

from services.tenancy.operations import ProtectTables


class Migration(migrations.Migration):
    dependencies = [("api", "0001_initial"), ("tenancy", "0002_protect")]

    operations = [ProtectTables("api", ["IdempotencyKey"])]

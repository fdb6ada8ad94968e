"""The table of the shared cache, in which rate limits are counted."""

from django.conf import settings
from django.core.management import call_command
from django.db import migrations


def make_table(apps, schema_editor):
    call_command("createcachetable", database=schema_editor.connection.alias, verbosity=0)


def drop_table(apps, schema_editor):
    table = schema_editor.quote_name(settings.CACHES["default"]["LOCATION"])
    schema_editor.execute(f"DROP TABLE IF EXISTS {table}")


class Migration(migrations.Migration):
    dependencies = [("people", "0002_consent_changes")]
    operations = [migrations.RunPython(make_table, drop_table)]

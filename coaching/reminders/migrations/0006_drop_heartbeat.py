"""The table that 0003 left standing for processes of the release before it: nothing writes there
any more. A database made since never had it."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("reminders", "0005_plan_and_chance")]

    operations = [
        migrations.RunSQL(
            "DROP TABLE IF EXISTS reminders_heartbeat",
            "CREATE TABLE reminders_heartbeat (name varchar(20) NOT NULL PRIMARY KEY,"
            " at timestamp with time zone NOT NULL)",
        ),
    ]

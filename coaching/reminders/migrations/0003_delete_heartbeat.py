"""The sweeps of `jobs` say when they ran. The table itself goes with the next release: while
this one is installed, processes of the last one still write to it."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("reminders", "0002_evening")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[migrations.DeleteModel(name="Heartbeat")]
        ),
    ]

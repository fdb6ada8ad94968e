from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from coaching.reminders import watch


def take_down(_apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """On the way back; forward, `migrate` puts them up once every table is there."""
    watch.TRIGGERS.drop(schema_editor.connection)


class Migration(migrations.Migration):

    dependencies = [  # All that is watched: on the way back this goes first.
        ('reminders', '0006_drop_heartbeat'),
        ('people', '0001_squashed_0021_ended_ways_in'),
        ('weeks', '0001_squashed_0006_given_revision'),
        ('log', '0001_squashed_0007_checked_minutes'),
        ('reports', '0001_initial'),
        ('clips', '0001_initial'),
    ]

    operations = [
        migrations.CreateModel(
            name='Heard',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('who', models.UUIDField()),
            ],
        ),
        migrations.RunPython(migrations.RunPython.noop, take_down),
    ]

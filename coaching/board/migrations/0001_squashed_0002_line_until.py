import django.db.models.deletion
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from coaching.board import watch


def take_down(_apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """On the way back; forward, `migrate` puts them up once every table is there."""
    watch.TRIGGERS.drop(schema_editor.connection)


class Migration(migrations.Migration):

    initial = True

    dependencies = [  # All that is watched: on the way back this goes first.
        ('people', '0001_squashed_0021_ended_ways_in'),
        ('standing', '0001_squashed_0003_boardlook'),
        ('kept', '0001_squashed_0004_same_line'),
        ('shots', '0001_squashed_0003_studio_days'),
        ('drills', '0001_squashed_0006_target_order'),
        ('weeks', '0001_squashed_0006_given_revision'),
        ('bring', '0001_squashed_0002_remembered'),
        ('compliance', '0001_squashed_0003_weektally_counts_tapped'),
        ('log', '0001_squashed_0007_checked_minutes'),
        ('care', '0001_squashed_0006_earlier_and_screening'),
        ('lessons', '0001_squashed_0004_carry_kept'),
        ('checked', '0001_squashed_0002_checked_minutes'),
        ('progress', '0001_numbers_now'),
        ('season', '0001_squashed_0003_season_template'),
    ]

    replaces = [
        ('board', '0001_kept_line'),
        ('board', '0002_line_until'),
    ]

    operations = [
        migrations.CreateModel(
            name='KeptLine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.BigIntegerField(default=0)),
                ('judged', models.BigIntegerField(null=True)),
                ('rules', models.CharField(blank=True, max_length=16)),
                ('until', models.DateTimeField(null=True)),
                ('line', models.JSONField(null=True)),
                ('student', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='kept_line', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['until'], name='line_until')],
            },
        ),
        migrations.RunPython(migrations.RunPython.noop, take_down),
    ]

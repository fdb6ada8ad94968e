import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('people', '0001_squashed_0021_ended_ways_in'),
    ]

    replaces = [
        ('compliance', '0001_initial'),
        ('compliance', '0002_initial'),
        ('compliance', '0003_weektally_counts_tapped'),
    ]

    operations = [
        migrations.CreateModel(
            name='WeekTally',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('opens', models.DateField()),
                ('has_plan', models.BooleanField(default=False)),
                ('asked_minutes', models.FloatField(default=0)),
                ('credited_minutes', models.FloatField(default=0)),
                ('credit', models.FloatField(null=True, verbose_name="share of the week's minutes credited")),
                ('priority_credit', models.FloatField(null=True)),
                ('priority_sessions_done', models.FloatField(default=0)),
                ('priority_sessions_asked', models.PositiveSmallIntegerField(default=0)),
                ('finished', models.BooleanField(default=False)),
                ('open_days', models.PositiveSmallIntegerField(default=7)),
                ('days_done', models.PositiveSmallIntegerField(default=0)),
                ('days_asked', models.PositiveSmallIntegerField(default=0)),
                ('sessions_left', models.PositiveSmallIntegerField(default=0)),
                ('minutes', models.FloatField(default=0, verbose_name='all minutes, asked or not')),
                ('unplanned_minutes', models.FloatField(default=0)),
                ('reps', models.PositiveIntegerField(default=0)),
                ('reps_asked', models.PositiveIntegerField(default=0)),
                ('balls', models.PositiveIntegerField(default=0)),
                ('hard_swings', models.PositiveIntegerField(default=0)),
                ('swing_equivalents', models.FloatField(default=0, verbose_name='full-swing equivalents')),
                ('pain', models.PositiveSmallIntegerField(null=True, verbose_name='highest pain told')),
                ('counts_as_asked', models.PositiveSmallIntegerField(default=0)),
                ('counts_given', models.PositiveSmallIntegerField(default=0)),
                ('counts_tapped', models.PositiveSmallIntegerField(default=0)),
                ('credited_by_day', models.JSONField(default=list)),
                ('minutes_by_day', models.JSONField(default=list)),
                ('planned_by_day', models.JSONField(default=list)),
                ('parts', models.JSONField(default=list)),
                ('entries', models.JSONField(default=list)),
                ('last_written_at', models.DateTimeField(null=True)),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='tallies', to='people.student')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('student', 'opens'), name='one_tally_per_student_and_week')],
            },
        ),
    ]

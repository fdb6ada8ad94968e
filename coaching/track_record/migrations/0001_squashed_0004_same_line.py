import django.db.models.deletion
import django.utils.timezone
import uuid
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('people', '0001_squashed_0021_ended_ways_in'),
    ]

    replaces = [
        ('kept', '0001_initial'),
        ('kept', '0002_weeks_of_now'),
        ('kept', '0003_erased_stay_as_numbers'),
        ('kept', '0004_same_line'),
    ]

    operations = [
        migrations.CreateModel(
            name='StudioRhythm',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('opens', models.DateField()),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('figures', models.JSONField()),
                ('record', models.JSONField(default=dict)),
                ('studio', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='rhythms', to='people.studio')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('studio', 'opens'), name='one_rhythm_per_studio_week')],
            },
        ),
        migrations.CreateModel(
            name='WordKept',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('was', models.UUIDField(null=True)),
                ('opens', models.DateField()),
                ('at', models.DateTimeField(verbose_name='the instant it speaks of')),
                ('said', models.CharField(max_length=20)),
                ('chance', models.FloatField(null=True)),
                ('share', models.FloatField(null=True)),
                ('share_of_line', models.FloatField(null=True)),
                ('by_forecast', models.BooleanField(default=False, verbose_name='the chance gave the word')),
                ('enough', models.FloatField(default=0.8)),
                ('noted_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('credit', models.FloatField(null=True)),
                ('reached', models.BooleanField(null=True)),
                ('closed_at', models.DateTimeField(null=True)),
                ('student', models.ForeignKey(db_index=False, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='words_kept', to='people.student')),
                ('studio', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='people.studio')),
            ],
            options={
                'indexes': [models.Index(fields=['closed_at', 'opens'], name='words_to_close'), models.Index(fields=['opens'], name='words_of_now')],
                'constraints': [models.UniqueConstraint(fields=('student', 'opens'), name='one_word_per_student_week'), models.CheckConstraint(condition=models.Q(models.Q(('student__isnull', False), ('studio', None), ('was', None)), models.Q(('student', None), ('studio__isnull', False), ('was__isnull', False)), _connector='OR'), name='a_word_is_of_a_student_or_a_number')],
            },
        ),
    ]

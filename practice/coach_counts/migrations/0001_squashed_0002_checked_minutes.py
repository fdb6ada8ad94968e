import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('drills', '0001_squashed_0006_target_order'),
        ('people', '0001_squashed_0021_ended_ways_in'),
        ('people', '0001_squashed_0021_ended_ways_in'),
    ]

    replaces = [
        ('checked', '0001_initial'),
        ('checked', '0002_checked_minutes'),
    ]

    operations = [
        migrations.CreateModel(
            name='CheckedCount',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('effort', models.PositiveSmallIntegerField(verbose_name='felt effort, percent')),
                ('reps', models.PositiveSmallIntegerField()),
                ('clean_reps', models.PositiveSmallIntegerField(verbose_name='clean by the coach')),
                ('own_reps', models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="reps by the student's own count")),
                ('own_clean_reps', models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="clean by the student's own count")),
                ('day', models.DateField()),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('counts', models.BooleanField(default=True)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('drill', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='drills.drill')),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='checked', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'day'], name='checked_student_day')],
                'constraints': [models.CheckConstraint(condition=models.Q(('effort__range', (10, 100))), name='checked_effort_10_to_100', violation_error_message='Felt effort is from 10 to 100 percent.'), models.CheckConstraint(condition=models.Q(('reps__range', (1, 500))), name='checked_reps_1_to_500', violation_error_message='Count 1 to 500 reps at a time.'), models.CheckConstraint(condition=models.Q(('clean_reps__lte', models.F('reps')), models.Q(('own_clean_reps', None), ('own_clean_reps__lte', models.F('reps')), _connector='OR')), name='checked_clean_within_reps', violation_error_message='There cannot be more clean ones than were made.'), models.CheckConstraint(condition=models.Q(('own_reps', None), ('own_reps__range', (1, 500)), _connector='OR'), name='checked_own_reps_1_to_500', violation_error_message='Count 1 to 500 reps at a time.')],
            },
        ),
    ]

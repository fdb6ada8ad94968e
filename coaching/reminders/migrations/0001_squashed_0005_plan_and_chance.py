import datetime
import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('people', '0001_squashed_0021_ended_ways_in'),
        ('people', '0001_squashed_0021_ended_ways_in'),
    ]

    replaces = [
        ('reminders', '0001_initial'),
        ('reminders', '0002_evening'),
        ('reminders', '0003_delete_heartbeat'),
        ('reminders', '0004_written'),
        ('reminders', '0005_plan_and_chance'),
    ]

    operations = [
        migrations.CreateModel(
            name='EveningRule',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.TimeField(default=datetime.time(19, 0), verbose_name='time of day')),
                ('next_due_utc', models.DateTimeField(blank=True, db_index=True, null=True)),
                ('user', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='evening_rule', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='Notice',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('state', models.CharField(choices=[('due', 'waits'), ('claimed', 'taken by a worker'), ('sending', 'being sent'), ('sent', 'sent'), ('failed', 'refused'), ('unknown', 'perhaps sent'), ('cancelled', 'no longer wanted'), ('expired', 'too late')], default='due', max_length=9)),
                ('why', models.CharField(blank=True, max_length=300)),
                ('claim', models.UUIDField(blank=True, null=True)),
                ('lease_until', models.DateTimeField(blank=True, null=True)),
                ('tries', models.PositiveSmallIntegerField(default=0)),
                ('copies', models.PositiveSmallIntegerField(default=0)),
                ('next_try_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('expires_at', models.DateTimeField()),
                ('message_id', models.CharField(max_length=200)),
                ('planned_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('key', models.CharField(max_length=180, unique=True)),
                ('kind', models.CharField(choices=[('lesson_tomorrow', 'Lesson tomorrow'), ('test_tomorrow', 'Test tomorrow'), ('midweek_offer', 'Midweek offer'), ('new_week', 'New week'), ('calls_stop', 'No more practice calls'), ('practice_call', 'Practice call'), ('written', 'From the coach'), ('answer', 'Answer to a question'), ('coach_monday', 'Monday summary'), ('coach_evening', "Tomorrow's lessons"), ('pain_told', 'Something hurts')], max_length=16)),
                ('local_day', models.DateField()),
                ('about', models.CharField(blank=True, max_length=36)),
                ('drawn', models.BooleanField(null=True)),
                ('opened_at', models.DateTimeField(blank=True, null=True)),
                ('recipient', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='notices', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='notices', to='people.student')),
            ],
            options={
                'indexes': [models.Index(condition=models.Q(('state__in', ('due', 'claimed', 'sending'))), fields=['next_try_at'], name='notice_open'), models.Index(fields=['student', 'local_day'], name='notice_of_student')],
                'constraints': [models.UniqueConstraint(condition=models.Q(('kind__in', ['lesson_tomorrow', 'test_tomorrow', 'midweek_offer', 'new_week', 'calls_stop', 'practice_call', 'written']), ('state__in', ('due', 'claimed', 'sending', 'sent', 'failed', 'unknown'))), fields=('recipient', 'student', 'local_day'), name='one_reminder_a_day'), models.CheckConstraint(condition=models.Q(('copies__lte', 2)), name='at_most_two_copies')],
            },
        ),
        migrations.CreateModel(
            name='ReminderRule',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.TimeField(default=datetime.time(17, 0), verbose_name='time of day')),
                ('weekdays', models.PositiveSmallIntegerField(default=127, validators=[django.core.validators.MaxValueValidator(127)])),
                ('practice_call', models.BooleanField(default=True)),
                ('midweek_offer', models.BooleanField(default=True)),
                ('new_week', models.BooleanField(default=True)),
                ('lesson_tomorrow', models.BooleanField(default=True)),
                ('test_tomorrow', models.BooleanField(default=True)),
                ('written', models.BooleanField(default=True)),
                ('moment', models.CharField(blank=True, max_length=60)),
                ('place', models.CharField(blank=True, max_length=60)),
                ('hindrance', models.CharField(blank=True, max_length=60)),
                ('instead', models.CharField(blank=True, max_length=60)),
                ('follows_practice', models.BooleanField(default=False)),
                ('by_chance', models.BooleanField(default=False)),
                ('calls_since', models.DateTimeField(blank=True, null=True)),
                ('next_due_utc', models.DateTimeField(blank=True, db_index=True, null=True)),
                ('student', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='reminder_rule', to='people.student')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('at__gte', datetime.time(7, 0)), ('at__lt', datetime.time(21, 0))), name='reminder_outside_quiet_hours', violation_error_message='Choose a time from 07:00 to 20:59.')],
            },
        ),
        migrations.CreateModel(
            name='Silence',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('since', models.DateTimeField(default=django.utils.timezone.now)),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='silences', to='people.student')),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='silences', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('user', 'student'), name='one_silence_per_reader')],
            },
        ),
        migrations.CreateModel(
            name='SummaryRule',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('on', models.BooleanField(default=True)),
                ('at', models.TimeField(default=datetime.time(7, 0), verbose_name='time of day')),
                ('next_due_utc', models.DateTimeField(blank=True, db_index=True, null=True)),
                ('user', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='summary_rule', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='Told',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('what', models.CharField(max_length=6)),
                ('item', models.UUIDField(db_index=True)),
                ('notice', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='told', to='reminders.notice')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('notice', 'item'), name='told_once_a_mail')],
            },
        ),
        # What 0006 gives the release before on the way back.
        migrations.RunSQL(migrations.RunSQL.noop, "DROP TABLE IF EXISTS reminders_heartbeat"),
    ]

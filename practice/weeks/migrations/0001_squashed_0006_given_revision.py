import django.core.validators
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
        ('weeks', '0001_initial'),
        ('weeks', '0002_week_typed'),
        ('weeks', '0003_part_added_on_part_before'),
        ('weeks', '0004_part_places'),
        ('weeks', '0005_weeks_of_now'),
        ('weeks', '0006_given_revision'),
    ]

    operations = [
        migrations.CreateModel(
            name='Week',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('opens', models.DateField()),
                ('state', models.CharField(choices=[('draft', 'draft'), ('sent', 'sent')], default='draft', max_length=5)),
                ('note', models.TextField(blank=True, max_length=600, verbose_name='words to the student')),
                ('revision', models.PositiveIntegerField(default=1)),
                ('sent_at', models.DateTimeField(blank=True, null=True)),
                ('published_on', models.DateField(blank=True, null=True)),
                ('amended_at', models.DateTimeField(blank=True, null=True)),
                ('given_revision', models.PositiveIntegerField(blank=True, editable=False, null=True)),
                ('typed', models.JSONField(blank=True, editable=False, null=True)),
                ('author', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='weeks_set', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='weeks', to='people.student')),
            ],
            options={
                'indexes': [models.Index(condition=models.Q(('state', 'sent')), fields=['opens'], name='week_sent_opens')],
                'constraints': [models.UniqueConstraint(fields=('student', 'opens'), name='one_week_per_student_and_opening'), models.CheckConstraint(condition=models.Q(('state', 'draft'), models.Q(('published_on__isnull', False), ('sent_at__isnull', False)), _connector='OR'), name='a_sent_week_says_when')],
            },
        ),
        migrations.CreateModel(
            name='Part',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('priority', models.PositiveSmallIntegerField(default=1)),
                ('dose', models.CharField(max_length=200)),
                ('sessions', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(14)])),
                ('dose_asked', models.CharField(blank=True, max_length=200)),
                ('sessions_asked', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('by_total', models.BooleanField(default=False)),
                ('days', models.JSONField(blank=True, default=list)),
                ('places', models.JSONField(blank=True, default=dict)),
                ('minutes', models.FloatField(validators=[django.core.validators.MinValueValidator(0.5), django.core.validators.MaxValueValidator(600)], verbose_name='minutes a session')),
                ('cue', models.CharField(blank=True, max_length=160)),
                ('note', models.CharField(blank=True, max_length=300)),
                ('swaps', models.JSONField(blank=True, default=list)),
                ('added_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('added_on', models.DateField(blank=True, null=True)),
                ('removed_at', models.DateTimeField(blank=True, null=True)),
                ('before', models.JSONField(blank=True, default=list, editable=False)),
                ('added_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('drill', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='parts', to='drills.drill')),
                ('revision', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='drills.drillrevision')),
                ('week', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='parts', to='weeks.week')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('sessions__range', (1, 14))), name='part_sessions_1_to_14', violation_error_message='Set between 1 and 14 sessions a week.'), models.CheckConstraint(condition=models.Q(('minutes__gt', 0), ('minutes__lte', 600)), name='part_minutes_up_to_600')],
            },
        ),
        migrations.CreateModel(
            name='WeekTemplate',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=80)),
                ('parts', models.JSONField(default=list)),
                ('saved_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('author', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='week_templates', to='people.studio')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('studio', 'name'), name='template_name_per_studio')],
            },
        ),
        migrations.CreateModel(
            name='Excusal',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('kind', models.CharField(choices=[('away', 'away'), ('unwell', 'unwell'), ('other', 'other')], default='other', max_length=6)),
                ('told_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='excusals', to='people.student')),
                ('told_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'last'], name='excusal_of_student')],
                'constraints': [models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='excusal_ends_after_it_starts', violation_error_message='The last day cannot be before the first.')],
            },
        ),
    ]

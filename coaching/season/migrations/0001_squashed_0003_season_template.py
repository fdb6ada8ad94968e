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
        ('season', '0001_initial'),
        ('season', '0002_gate_now'),
        ('season', '0003_season_template'),
    ]

    operations = [
        migrations.CreateModel(
            name='GateNow',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('words', models.CharField(blank=True, max_length=240)),
                ('reckoned_at', models.DateTimeField(db_index=True)),
                ('student', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='gate_now', to='people.student')),
            ],
        ),
        migrations.CreateModel(
            name='SeasonPlan',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('note', models.TextField(blank=True, max_length=600, verbose_name='words about the season')),
                ('changed_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('made_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('student', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='season_plan', to='people.student')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('last__gt', models.F('first'))), name='season_ends_after_it_starts')],
            },
        ),
        migrations.CreateModel(
            name='Priority',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('place', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(3)])),
                ('name', models.CharField(max_length=80)),
                ('stage', models.CharField(blank=True, choices=[('shape', 'Shape'), ('flow', 'Flow'), ('speed', 'Speed'), ('keep', 'Keep')], max_length=5)),
                ('measure', models.CharField(choices=[('ball', 'everyday ball speed'), ('club', 'everyday club speed'), ('clean', 'clean of 100 at an effort'), ('carry', 'carry, metres off at most'), ('other', 'in words')], default='other', max_length=5)),
                ('value', models.FloatField(blank=True, null=True)),
                ('effort', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('words', models.CharField(blank=True, max_length=120, verbose_name='target in words')),
                ('by', models.DateField(blank=True, null=True, verbose_name='to be reached by')),
                ('drill', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='drills.drill')),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='priorities', to='season.seasonplan')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('plan', 'place'), name='one_priority_per_place'), models.CheckConstraint(condition=models.Q(('value', None), ('value__gte', 0), _connector='OR'), name='target_not_negative')],
            },
        ),
        migrations.CreateModel(
            name='Phase',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=40)),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='phases', to='season.seasonplan')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='phase_ends_after_it_starts')],
            },
        ),
        migrations.CreateModel(
            name='AreaRamp',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('area', models.CharField(choices=[('swing', 'full swing'), ('wedges', 'wedges'), ('short', 'short game'), ('putting', 'putting'), ('speed', 'speed'), ('body', 'body, no ball')], max_length=8)),
                ('opens', models.DateField(verbose_name='first week')),
                ('start_minutes', models.PositiveSmallIntegerField(validators=[django.core.validators.MaxValueValidator(3000)])),
                ('target_minutes', models.PositiveSmallIntegerField(validators=[django.core.validators.MaxValueValidator(3000)])),
                ('due', models.DateField(verbose_name='week of the target')),
                ('cap_percent', models.PositiveSmallIntegerField(default=10)),
                ('lighter_every', models.PositiveSmallIntegerField(default=4)),
                ('lighter_percent', models.PositiveSmallIntegerField(default=70)),
                ('is_from_reality', models.BooleanField(default=False)),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('made_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('plan', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='ramps', to='season.seasonplan')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('plan', 'area', 'opens'), name='one_ramp_per_area_and_week'), models.CheckConstraint(condition=models.Q(('due__gte', models.F('opens'))), name='ramp_ends_after_start'), models.CheckConstraint(condition=models.Q(('cap_percent__range', (1, 100)), ('lighter_percent__range', (1, 100))), name='ramp_percents_1_to_100')],
            },
        ),
        migrations.CreateModel(
            name='SeasonTemplate',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=80)),
                ('days', models.PositiveSmallIntegerField()),
                ('phases', models.JSONField(default=list)),
                ('priorities', models.JSONField(default=list)),
                ('saved_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('author', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='season_templates', to='people.studio')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('studio', 'name'), name='season_template_name_per_studio')],
            },
        ),
        migrations.CreateModel(
            name='Event',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('kind', models.CharField(choices=[('event', 'competition'), ('test', 'test day')], max_length=5)),
                ('name', models.CharField(max_length=80)),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='events', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'last'], name='event_of_student')],
                'constraints': [models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='event_ends_after_it_starts')],
            },
        ),
        migrations.CreateModel(
            name='GymDay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('load', models.CharField(choices=[('heavy', 'heavy'), ('medium', 'medium'), ('light', 'light'), ('rest', 'rest')], max_length=6)),
                ('body', models.CharField(choices=[('lower', 'lower'), ('upper', 'upper'), ('both', 'both')], default='both', max_length=5)),
                ('jumps', models.BooleanField(default=False)),
                ('marked_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('marked_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='gym_days', to='people.student')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('student', 'day'), name='one_gym_day_per_day')],
            },
        ),
        migrations.CreateModel(
            name='PracticeDay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('weekday', models.PositiveSmallIntegerField()),
                ('place', models.CharField(choices=[('home', 'at home'), ('net', 'net at home'), ('range', 'range or bay'), ('gym', 'gym'), ('course', 'course or short-game lawn')], max_length=6)),
                ('minutes', models.PositiveSmallIntegerField()),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='practice_days', to='people.student')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('student', 'weekday', 'place'), name='one_time_per_weekday_and_place'), models.CheckConstraint(condition=models.Q(('minutes__range', (1, 600)), ('weekday__range', (0, 6))), name='practice_day_of_a_week')],
            },
        ),
    ]

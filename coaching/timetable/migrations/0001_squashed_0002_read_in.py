import django.db.models.deletion
import django.utils.timezone
import shared.people.fields
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('lessons', '0001_squashed_0004_carry_kept'),
        ('people', '0001_squashed_0021_ended_ways_in'),
        ('people', '0001_squashed_0021_ended_ways_in'),
    ]

    replaces = [
        ('timetable', '0001_timetable'),
        ('timetable', '0002_read_in'),
    ]

    operations = [
        migrations.CreateModel(
            name='Feed',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('digest', models.CharField(max_length=64, unique=True)),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('student', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='feeds', to='people.student')),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='feeds', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='ReadIn',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='read_in', to='people.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Series',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('first', models.DateField()),
                ('at', models.TimeField()),
                ('time_zone', shared.people.fields.TimeZoneField(default='UTC', max_length=64)),
                ('minutes', models.PositiveSmallIntegerField(default=60)),
                ('rule', models.CharField(max_length=120)),
                ('last', models.DateField(blank=True, null=True)),
                ('place', models.CharField(blank=True, max_length=60)),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('changed_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('coach', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='series_given', to=settings.AUTH_USER_MODEL)),
                ('read_in', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='series', to='timetable.readin')),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='series', to='people.student')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('minutes__range', (5, 480))), name='a_lesson_lasts_a_while')],
            },
        ),
        migrations.CreateModel(
            name='Occurrence',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('lesson', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='occurrence', to='lessons.lesson')),
                ('series', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='occurrences', to='timetable.series')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('series', 'day'), name='a_day_of_a_series_once')],
            },
        ),
        migrations.CreateModel(
            name='Holiday',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('name', models.CharField(blank=True, max_length=60)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='holidays', to='people.studio')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='a_holiday_ends_after_its_first_day')],
            },
        ),
    ]

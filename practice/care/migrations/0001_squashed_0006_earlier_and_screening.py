import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('drills', '0001_squashed_0006_target_order'),
        ('log', '0001_squashed_0007_checked_minutes'),
        ('people', '0001_squashed_0021_ended_ways_in'),
        ('people', '0001_squashed_0021_ended_ways_in'),
    ]

    replaces = [
        ('care', '0001_initial'),
        ('care', '0002_initial'),
        ('care', '0003_initial'),
        ('care', '0004_pain_words_fade'),
        ('care', '0005_pain_looks'),
        ('care', '0006_earlier_and_screening'),
    ]

    operations = [
        migrations.CreateModel(
            name='EarlierHurt',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('words', models.TextField(max_length=600)),
                ('told_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('student', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='earlier_hurt', to='people.student')),
                ('told_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='PainNote',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('day', models.DateField()),
                ('where', models.CharField(blank=True, max_length=60)),
                ('level', models.PositiveSmallIntegerField()),
                ('signs', models.JSONField(blank=True, default=list)),
                ('is_new', models.BooleanField(default=True)),
                ('told_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('is_kept', models.BooleanField(default=False)),
                ('faded_at', models.DateTimeField(blank=True, null=True)),
                ('drill', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='drills.drill')),
                ('entry', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='pain_notes', to='log.entry')),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='pain_notes', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'day'], name='pain_of_student')],
                'constraints': [models.CheckConstraint(condition=models.Q(('level__range', (0, 10))), name='pain_0_to_10')],
            },
        ),
        migrations.CreateModel(
            name='Screening',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('movement', models.CharField(max_length=12)),
                ('can', models.CharField(max_length=6)),
                ('day', models.DateField()),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('drills', models.ManyToManyField(blank=True, related_name='+', to='drills.drill')),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='screenings', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'day'], name='screening_of_student')],
            },
        ),
        migrations.CreateModel(
            name='Stop',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('since', models.DateField()),
                ('cleared_at', models.DateTimeField(blank=True, null=True)),
                ('cleared_on', models.DateField(blank=True, null=True)),
                ('clearing_words', models.CharField(blank=True, max_length=300)),
                ('cleared_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('drill', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='drills.drill')),
                ('pain', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='stops', to='care.painnote')),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='stops', to='people.student')),
            ],
            options={
                'constraints': [models.UniqueConstraint(condition=models.Q(('cleared_at', None), ('drill__isnull', False)), fields=('student', 'drill'), name='one_open_stop_per_drill'), models.UniqueConstraint(condition=models.Q(('cleared_at', None), ('drill', None)), fields=('student',), name='one_open_stop_of_all_hard_work')],
            },
        ),
        migrations.CreateModel(
            name='CautionRead',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('caution', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='reads', to='drills.caution')),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='cautions_read', to='people.student')),
                ('user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('student', 'caution'), name='caution_read_once')],
            },
        ),
        migrations.CreateModel(
            name='PainLook',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('page', models.CharField(max_length=40)),
                ('day', models.DateField()),
                ('at', models.DateTimeField()),
                ('last_at', models.DateTimeField()),
                ('by', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='people.student')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('student', 'by', 'page', 'day'), name='one_pain_look_a_page_and_day')],
            },
        ),
    ]

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
        ('standing', '0001_initial'),
        ('standing', '0002_studiothresholds_before'),
        ('standing', '0003_boardlook'),
    ]

    operations = [
        migrations.CreateModel(
            name='BoardLook',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField()),
                ('places', models.JSONField(default=dict)),
                ('before_at', models.DateTimeField(blank=True, null=True)),
                ('before_places', models.JSONField(blank=True, default=dict)),
                ('user', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='board_look', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='StudioThresholds',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('finish_percent', models.PositiveSmallIntegerField(default=80, validators=[django.core.validators.MinValueValidator(50), django.core.validators.MaxValueValidator(100)])),
                ('in_step_percent', models.PositiveSmallIntegerField(default=60, validators=[django.core.validators.MinValueValidator(40), django.core.validators.MaxValueValidator(95)])),
                ('tight_percent', models.PositiveSmallIntegerField(default=30, validators=[django.core.validators.MinValueValidator(5), django.core.validators.MaxValueValidator(60)])),
                ('weeks_needed', models.PositiveSmallIntegerField(default=4, validators=[django.core.validators.MinValueValidator(3), django.core.validators.MaxValueValidator(8)])),
                ('quiet_days', models.PositiveSmallIntegerField(default=4, validators=[django.core.validators.MinValueValidator(2), django.core.validators.MaxValueValidator(21)])),
                ('quiet_times', models.DecimalField(decimal_places=1, default='1.5', max_digits=2, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(5)])),
                ('jump_times', models.DecimalField(decimal_places=1, default='1.5', max_digits=2, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(5)])),
                ('jump_rise', models.PositiveSmallIntegerField(default=40, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(300)])),
                ('jump_rise_under_16', models.PositiveSmallIntegerField(default=25, validators=[django.core.validators.MinValueValidator(5), django.core.validators.MaxValueValidator(300)])),
                ('first_ceiling', models.PositiveSmallIntegerField(default=60, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(300)])),
                ('first_ceiling_under_16', models.PositiveSmallIntegerField(default=40, validators=[django.core.validators.MinValueValidator(5), django.core.validators.MaxValueValidator(300)])),
                ('cram_percent', models.PositiveSmallIntegerField(default=60, validators=[django.core.validators.MinValueValidator(50), django.core.validators.MaxValueValidator(100)])),
                ('cram_points', models.PositiveSmallIntegerField(default=30, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(90)])),
                ('as_asked_percent', models.PositiveSmallIntegerField(default=90, validators=[django.core.validators.MinValueValidator(70), django.core.validators.MaxValueValidator(100)])),
                ('event_days', models.PositiveSmallIntegerField(default=3, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(14)])),
                ('set_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('before', models.JSONField(blank=True, default=list, editable=False)),
                ('set_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('studio', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='thresholds', to='people.studio')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('tight_percent__lt', models.F('in_step_percent'))), name='tight_below_in_step', violation_error_message='Tight must begin below In step.')],
            },
        ),
        migrations.CreateModel(
            name='Tried',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('opens', models.DateField()),
                ('what', models.CharField(choices=[('line', 'wrote a line'), ('shorter', 'sent a shorter week'), ('excused', 'excused days'), ('called', 'called'), ('no_answer', 'tried to call, no answer'), ('other', 'something else')], max_length=9)),
                ('note', models.CharField(blank=True, max_length=300)),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='tried', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'opens'], name='tried_for_student')],
            },
        ),
    ]

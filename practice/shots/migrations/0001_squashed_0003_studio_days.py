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
        ('log', '0001_squashed_0007_checked_minutes'),
        ('people', '0001_squashed_0021_ended_ways_in'),
        ('people', '0001_squashed_0021_ended_ways_in'),
    ]

    replaces = [
        ('shots', '0001_initial'),
        ('shots', '0002_speed_block'),
        ('shots', '0003_studio_days'),
    ]

    operations = [
        migrations.CreateModel(
            name='Club',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=20)),
                ('loft', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(80)], verbose_name='loft in degrees')),
                ('changed_on', models.DateField(blank=True, null=True, verbose_name='loft or shaft last changed')),
                ('retired_on', models.DateField(blank=True, null=True)),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='clubs', to='people.student')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('student', 'name'), name='club_name_per_student', violation_error_message='This student already has a club of that name.')],
            },
        ),
        migrations.CreateModel(
            name='Sitting',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('day', models.DateField()),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('device', models.CharField(blank=True, max_length=60)),
                ('ball', models.CharField(blank=True, max_length=60)),
                ('place', models.CharField(blank=True, max_length=60)),
                ('indoors', models.BooleanField(blank=True, null=True)),
                ('evidence', models.CharField(choices=[('measured', 'measured'), ('seen', 'seen')], default='measured', max_length=8)),
                ('from_memory', models.BooleanField(default=False, verbose_name='written more than 48 hours after')),
                ('note', models.CharField(blank=True, max_length=300)),
                ('counts', models.BooleanField(default=True)),
                ('drill', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='drills.drill')),
                ('entry', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='sittings', to='log.entry')),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='sittings', to='people.student')),
                ('written_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'day'], name='sitting_student_day')],
            },
        ),
        migrations.CreateModel(
            name='Shot',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveIntegerField()),
                ('length', models.CharField(blank=True, choices=[('hip', 'hip-high'), ('chest', 'chest-high'), ('full', 'full')], max_length=5)),
                ('target', models.FloatField(blank=True, null=True)),
                ('effort', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('carry', models.FloatField(blank=True, null=True)),
                ('total', models.FloatField(blank=True, null=True)),
                ('side', models.FloatField(blank=True, null=True)),
                ('ball_speed', models.FloatField(blank=True, null=True)),
                ('club_speed', models.FloatField(blank=True, null=True)),
                ('launch', models.FloatField(blank=True, null=True, verbose_name='launch angle in degrees')),
                ('spin', models.FloatField(blank=True, null=True, verbose_name='spin in turns a minute')),
                ('is_clean', models.BooleanField(blank=True, null=True)),
                ('fingerprint', models.CharField(blank=True, max_length=64)),
                ('club', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='shots', to='shots.club')),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='people.student')),
                ('sitting', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='shots', to='shots.sitting')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'club', 'length'], name='shot_student_swing')],
                'constraints': [models.UniqueConstraint(fields=('sitting', 'number'), name='shot_number_per_sitting'), models.UniqueConstraint(condition=models.Q(('fingerprint', ''), _negated=True), fields=('student', 'fingerprint'), name='each_row_of_a_file_once'), models.CheckConstraint(condition=models.Q(models.Q(('carry', None), ('carry__gte', 0), _connector='OR'), models.Q(('total', None), ('total__gte', 0), _connector='OR'), models.Q(('ball_speed', None), ('ball_speed__gte', 0), _connector='OR'), models.Q(('club_speed', None), ('club_speed__gte', 0), _connector='OR'), models.Q(('target', None), ('target__gte', 0), _connector='OR')), name='shot_figures_not_negative')],
            },
        ),
        migrations.CreateModel(
            name='SpeedBlock',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('starts_on', models.DateField(blank=True, null=True, verbose_name='block starts on')),
                ('ball_speed', models.FloatField(blank=True, null=True, verbose_name='ball speed aimed at')),
                ('club_speed', models.FloatField(blank=True, null=True, verbose_name='club speed aimed at')),
                ('set_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('set_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('student', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='speed_block', to='people.student')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('ball_speed', None), ('ball_speed__gte', 0), _connector='OR'), models.Q(('club_speed', None), ('club_speed__gte', 0), _connector='OR')), name='speed_aims_not_negative')],
            },
        ),
        migrations.CreateModel(
            name='StudioDays',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('made_at', models.DateTimeField()),
                ('figures', models.JSONField()),
                ('studio', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='days_differ', to='people.studio')),
            ],
            options={
                'indexes': [models.Index(fields=['studio', '-made_at'], name='newest_studio_days')],
            },
        ),
    ]

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
        ('drills', '0001_initial'),
        ('drills', '0002_initial'),
        ('drills', '0003_clean_means'),
        ('drills', '0004_measured'),
        ('drills', '0005_tested_by'),
        ('drills', '0006_target_order'),
    ]

    operations = [
        migrations.CreateModel(
            name='Drill',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('shipped_as', models.SlugField(blank=True, max_length=40)),
                ('is_test', models.BooleanField(default=False)),
                ('archived_at', models.DateTimeField(blank=True, null=True)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='drills', to='people.studio')),
                ('swaps', models.ManyToManyField(blank=True, related_name='swap_of', to='drills.drill')),
                ('tested_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='tests_of', to='drills.drill')),
            ],
        ),
        migrations.CreateModel(
            name='DrillRevision',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('number', models.PositiveIntegerField(default=1)),
                ('name', models.CharField(max_length=80)),
                ('area', models.CharField(choices=[('swing', 'full swing'), ('wedges', 'wedges'), ('short', 'short game'), ('putting', 'putting'), ('speed', 'speed'), ('body', 'body, no ball')], max_length=8)),
                ('purpose', models.CharField(max_length=200)),
                ('setup', models.TextField(blank=True, max_length=600, verbose_name='set-up')),
                ('setup_seated', models.TextField(blank=True, max_length=600, verbose_name='set-up when seated')),
                ('cue', models.CharField(blank=True, max_length=120)),
                ('clean_means', models.CharField(blank=True, max_length=200, verbose_name='what counts as clean')),
                ('to_log', models.CharField(blank=True, max_length=120, verbose_name='what to log')),
                ('equipment', models.CharField(blank=True, max_length=120)),
                ('places', models.CharField(blank=True, max_length=120, verbose_name='where it can be done')),
                ('space', models.CharField(blank=True, max_length=120, verbose_name='space and height')),
                ('dose', models.CharField(max_length=200, verbose_name='default dose')),
                ('short_form', models.CharField(blank=True, max_length=200, verbose_name='dose when time is short')),
                ('clean_line', models.PositiveSmallIntegerField(default=80, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(100)], verbose_name='clean share needed to go up, percent')),
                ('go_up', models.CharField(blank=True, max_length=160, verbose_name='raise when')),
                ('go_down', models.CharField(blank=True, max_length=160, verbose_name='lower or stop when')),
                ('has_stop_rule', models.BooleanField(default=False)),
                ('needs_ball', models.BooleanField(default=True)),
                ('seconds_per_rep', models.PositiveSmallIntegerField(default=30, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(600)])),
                ('measures', models.CharField(blank=True, choices=[('', 'nothing, it is counted'), ('carry', 'carry'), ('ball_speed', 'ball speed'), ('club_speed', 'club speed')], default='', max_length=10, verbose_name='measured of each ball')),
                ('targets', models.CharField(blank=True, max_length=200, verbose_name='targets in their order')),
                ('target_order', models.CharField(blank=True, choices=[('blocked', 'all at one, then the next'), ('mixed', 'mixed, a new one each time')], max_length=7, verbose_name='order of the targets')),
                ('target_tries', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(30)], verbose_name='tries at each target')),
                ('target_seed', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MaxValueValidator(9999)], verbose_name='number of the mixed order')),
                ('rest_seconds', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MaxValueValidator(600)], verbose_name='seconds of rest between balls')),
                ('min_age', models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='not under this age')),
                ('written_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('drill', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='revisions', to='drills.drill')),
                ('written_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('drill', 'number'), name='drill_revision_number')],
            },
        ),
        migrations.AddField(
            model_name='drill',
            name='current',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='drills.drillrevision'),
        ),
        migrations.CreateModel(
            name='Caution',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1)),
                ('when', models.CharField(max_length=120)),
                ('stop', models.CharField(max_length=120)),
                ('who', models.CharField(blank=True, max_length=120)),
                ('written_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('written_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('drill', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='cautions', to='drills.drill')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('drill', 'version'), name='caution_version')],
            },
        ),
        migrations.AddConstraint(
            model_name='drill',
            constraint=models.UniqueConstraint(condition=models.Q(('shipped_as', ''), _negated=True), fields=('studio', 'shipped_as'), name='each_shipped_drill_once_per_studio'),
        ),
    ]

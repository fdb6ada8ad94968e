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
        ('weeks', '0001_squashed_0006_given_revision'),
    ]

    replaces = [
        ('log', '0001_initial'),
        ('log', '0002_initial'),
        ('log', '0003_lasting_keys'),
        ('log', '0004_acceptedswap'),
        ('log', '0005_key_browser'),
        ('log', '0006_child_phones'),
        ('log', '0007_checked_minutes'),
    ]

    operations = [
        migrations.CreateModel(
            name='LogKey',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('digest', models.CharField(max_length=64, unique=True)),
                ('device', models.CharField(blank=True, max_length=80)),
                ('browser', models.CharField(blank=True, max_length=32)),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('last_used_at', models.DateTimeField(blank=True, null=True)),
                ('expires_at', models.DateTimeField()),
                ('is_lasting', models.BooleanField(default=True)),
                ('revoked_at', models.DateTimeField(blank=True, null=True)),
                ('made_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='log_keys', to='people.student')),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='log_keys', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Entry',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('kind', models.CharField(choices=[('log', 'log'), ('change', 'change'), ('back', 'taken back'), ('read', 'caution understood'), ('away', 'days excused')], default='log', max_length=6)),
                ('root', models.UUIDField(db_index=True)),
                ('counts', models.BooleanField(default=True)),
                ('day', models.DateField()),
                ('at', models.DateTimeField()),
                ('utc_offset_minutes', models.SmallIntegerField(default=0)),
                ('received_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('from_memory', models.BooleanField(default=False, verbose_name='written more than 48 hours after')),
                ('minutes', models.FloatField(blank=True, null=True)),
                ('felt', models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='how hard it felt, 0 to 10')),
                ('note', models.TextField(blank=True, max_length=2000)),
                ('document', models.JSONField()),
                ('fingerprint', models.CharField(max_length=64)),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='entries', to='people.student')),
                ('writer', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('key', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='entries', to='log.logkey')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'day'], name='entry_student_day'), models.Index(fields=['student', 'received_at'], name='entry_student_received')],
                'constraints': [models.UniqueConstraint(condition=models.Q(('counts', True)), fields=('root',), name='one_counting_entry_per_root'), models.CheckConstraint(condition=models.Q(('felt', None), ('felt__lte', 10), _connector='OR'), name='felt_0_to_10')],
            },
        ),
        migrations.CreateModel(
            name='PhoneOffer',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('link_digest', models.CharField(max_length=64, unique=True)),
                ('code_digest', models.CharField(db_index=True, max_length=64)),
                ('until', models.DateTimeField(db_index=True)),
                ('taken_at', models.DateTimeField(blank=True, null=True)),
                ('made_by', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='people.student')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Result',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField(default=0)),
                ('opens', models.DateField()),
                ('filed', models.CharField(choices=[('week', 'in its week'), ('early', 'early start'), ('makeup', 'for last week'), ('extra', 'not asked for')], default='extra', max_length=6)),
                ('what', models.CharField(blank=True, max_length=20)),
                ('steps', models.JSONField(blank=True, default=list)),
                ('minutes', models.FloatField(blank=True, null=True)),
                ('timed_minutes', models.FloatField(blank=True, null=True)),
                ('guessed_minutes', models.FloatField(blank=True, null=True)),
                ('balls', models.PositiveIntegerField(default=0)),
                ('hard_swings', models.PositiveIntegerField(default=0)),
                ('as_asked', models.BooleanField(default=False)),
                ('stopped', models.BooleanField(default=False, verbose_name='ended by the stop rule')),
                ('drill', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='drills.drill')),
                ('entry', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='results', to='log.entry')),
                ('part', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='results', to='weeks.part')),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'opens'], name='result_student_week')],
            },
        ),
        migrations.CreateModel(
            name='AcceptedSwap',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('root', models.UUIDField()),
                ('work', models.CharField(max_length=36)),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='accepted_swaps', to='weeks.part')),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='accepted_swaps', to='people.student')),
            ],
            options={
                'constraints': [models.UniqueConstraint(condition=models.Q(('withdrawn_at', None)), fields=('root', 'work'), name='one_accepted_swap_per_work')],
            },
        ),
        migrations.CreateModel(
            name='Line',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('text', models.TextField(max_length=600)),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('seen_at', models.DateTimeField(blank=True, null=True)),
                ('about', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='lines', to='log.entry')),
                ('author', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lines', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'at'], name='line_of_student')],
            },
        ),
    ]

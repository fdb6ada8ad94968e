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
        ('shots', '0001_squashed_0003_studio_days'),
    ]

    replaces = [
        ('importing', '0001_initial'),
        ('importing', '0002_brought_clubs'),
    ]

    operations = [
        migrations.CreateModel(
            name='ShotFile',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('sent_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('name', models.CharField(max_length=120)),
                ('size', models.PositiveIntegerField(verbose_name='size in bytes')),
                ('kind', models.JSONField()),
                ('header_row', models.PositiveIntegerField(blank=True, null=True)),
                ('has_units_row', models.BooleanField(default=False)),
                ('header', models.JSONField(default=list)),
                ('plan', models.JSONField(default=dict)),
                ('state', models.CharField(choices=[('columns', 'columns to be named'), ('waiting', 'waiting'), ('reading', 'being read'), ('done', 'in'), ('failed', 'could not be read'), ('back', 'taken back')], default='columns', max_length=8)),
                ('why', models.CharField(blank=True, max_length=300)),
                ('rows_done', models.PositiveIntegerField(default=0)),
                ('rows_total', models.PositiveIntegerField(blank=True, null=True)),
                ('shots_new', models.PositiveIntegerField(default=0)),
                ('shots_known', models.PositiveIntegerField(default=0)),
                ('rows_refused', models.PositiveIntegerField(default=0)),
                ('tries', models.PositiveSmallIntegerField(default=0)),
                ('claim', models.UUIDField(blank=True, null=True)),
                ('lease_until', models.DateTimeField(blank=True, null=True)),
                ('done_at', models.DateTimeField(blank=True, null=True)),
                ('sent_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='shot_files', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', '-sent_at'], name='files_of_student'), models.Index(condition=models.Q(('state__in', ('waiting', 'reading'))), fields=['sent_at'], name='files_to_read')],
            },
        ),
        migrations.CreateModel(
            name='RefusedRow',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveIntegerField(verbose_name='row in the file')),
                ('reason', models.CharField(max_length=500)),
                ('cells', models.JSONField()),
                ('file', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='refused', to='importing.shotfile')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('file', 'number'), name='refused_row_once_per_file')],
            },
        ),
        migrations.CreateModel(
            name='Piece',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveIntegerField()),
                ('content', models.BinaryField()),
                ('file', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='pieces', to='importing.shotfile')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('file', 'number'), name='piece_once_per_file')],
            },
        ),
        migrations.CreateModel(
            name='BroughtClub',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('club', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='brought_by', to='shots.club')),
                ('file', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='brought_clubs', to='importing.shotfile')),
            ],
        ),
        migrations.CreateModel(
            name='Brought',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=64)),
                ('sitting', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='brought_by', to='shots.sitting')),
                ('file', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='brought', to='importing.shotfile')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('file', 'key'), name='sitting_once_per_file')],
            },
        ),
        migrations.CreateModel(
            name='KeptColumns',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('header', models.CharField(max_length=32, verbose_name='fingerprint of the header')),
                ('plan', models.JSONField()),
                ('kept_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('studio', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='people.studio')),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('studio', 'header', 'user'), name='columns_once_per_user_and_header')],
            },
        ),
    ]

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
        ('bring', '0001_bring'),
        ('bring', '0002_remembered'),
    ]

    operations = [
        migrations.CreateModel(
            name='Batch',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('sent_at', models.DateTimeField(blank=True, null=True)),
                ('taken_back_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='batches', to=settings.AUTH_USER_MODEL)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='batches', to='people.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Listed',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('weekday', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('at', models.TimeField(blank=True, null=True)),
                ('phone', models.CharField(blank=True, max_length=24)),
                ('batch', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='listed', to='bring.batch')),
                ('coach', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('invitation', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='listed', to='people.invitation')),
                ('student', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='listed', to='people.student')),
            ],
        ),
        migrations.CreateModel(
            name='Remembered',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('day', models.DateField()),
                ('minutes', models.FloatField()),
                ('drill', models.CharField(blank=True, max_length=80)),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('batch', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='remembered', to='bring.batch')),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='remembered', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'day'], name='remembered_of_student')],
                'constraints': [models.CheckConstraint(condition=models.Q(('minutes__gt', 0), ('minutes__lte', 480)), name='remembered_minutes_of_a_day')],
            },
        ),
    ]

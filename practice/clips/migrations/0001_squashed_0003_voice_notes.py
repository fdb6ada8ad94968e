import django.db.models.deletion
import django.utils.timezone
import practice.clips.models
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
        ('clips', '0001_initial'),
        ('clips', '0002_stills_come_along'),
        ('clips', '0003_voice_notes'),
    ]

    operations = [
        migrations.CreateModel(
            name='Clip',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('kind', models.CharField(choices=[('image/jpeg', 'picture'), ('video/mp4', 'clip'), ('video/webm', 'clip (WebM)'), ('audio/mp4', 'voice note'), ('audio/webm', 'voice note (WebM)')], max_length=10)),
                ('words', models.CharField(blank=True, max_length=200)),
                ('file', models.FileField(max_length=120, storage=practice.clips.models.clip_storage, upload_to=practice.clips.models.generated_name)),
                ('size', models.PositiveIntegerField()),
                ('seconds', models.FloatField(blank=True, null=True)),
                ('digest', models.CharField(max_length=64, verbose_name='SHA-256 of what was sent')),
                ('still', models.FileField(blank=True, max_length=120, storage=practice.clips.models.clip_storage, upload_to=practice.clips.models.generated_still)),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('expires_on', models.DateField()),
                ('is_model', models.BooleanField(default=False, verbose_name='the one to copy')),
                ('removed_at', models.DateTimeField(blank=True, null=True)),
                ('author', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('drill', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='drills.drill')),
                ('entry', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='log.entry')),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='clips', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'made_at'], name='clip_of_student'), models.Index(fields=['expires_on'], name='clip_expires')],
            },
        ),
    ]

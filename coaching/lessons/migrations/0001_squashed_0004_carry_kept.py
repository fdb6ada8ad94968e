import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('clips', '0001_squashed_0003_voice_notes'),
        ('drills', '0001_squashed_0006_target_order'),
        ('people', '0001_squashed_0021_ended_ways_in'),
        ('people', '0001_squashed_0021_ended_ways_in'),
        ('weeks', '0001_squashed_0006_given_revision'),
    ]

    replaces = [
        ('lessons', '0001_initial'),
        ('lessons', '0002_clips'),
        ('lessons', '0003_finding_balls'),
        ('lessons', '0004_carry_kept'),
    ]

    operations = [
        migrations.CreateModel(
            name='Lesson',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('at', models.DateTimeField()),
                ('place', models.CharField(blank=True, max_length=60)),
                ('state', models.CharField(choices=[('planned', 'planned'), ('open', 'open'), ('closed', 'closed')], default='planned', max_length=7)),
                ('ending', models.CharField(blank=True, choices=[('sent', 'sent'), ('later', 'later today'), ('none', 'no practice this week')], max_length=5)),
                ('private', models.TextField(blank=True, max_length=600, verbose_name='line for the coaches')),
                ('opened_at', models.DateTimeField(blank=True, null=True)),
                ('closed_at', models.DateTimeField(blank=True, null=True)),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('coach', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='lessons_given', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='lessons', to='people.student')),
                ('week', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='weeks.week')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'at'], name='lesson_student_at'), models.Index(fields=['coach', 'at'], name='lesson_coach_at')],
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('state', 'closed'), _negated=True), models.Q(('ending', ''), _negated=True), _connector='OR'), name='a_closed_lesson_says_what_becomes_of_the_week'), models.UniqueConstraint(condition=models.Q(('state', 'open')), fields=('student',), name='one_open_lesson_per_student')],
            },
        ),
        migrations.CreateModel(
            name='Finding',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('position', models.PositiveSmallIntegerField(default=0)),
                ('fault', models.CharField(blank=True, max_length=120)),
                ('cause', models.CharField(blank=True, max_length=120)),
                ('feel', models.CharField(blank=True, max_length=200, verbose_name="feels like, in the student's words")),
                ('real', models.CharField(blank=True, max_length=200, verbose_name='really is')),
                ('cue', models.CharField(blank=True, max_length=160)),
                ('rehearsal', models.CharField(blank=True, max_length=200)),
                ('evidence', models.CharField(blank=True, max_length=300, verbose_name='numbers, a clip')),
                ('balls', models.CharField(blank=True, max_length=1200)),
                ('drills', models.ManyToManyField(blank=True, related_name='+', to='drills.drill')),
                ('lesson', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='findings', to='lessons.lesson')),
            ],
            options={
                'ordering': ['position'],
                'constraints': [models.UniqueConstraint(fields=('lesson', 'position'), name='finding_position_per_lesson'), models.CheckConstraint(condition=models.Q(('position__lt', 3)), name='three_findings_at_most')],
            },
        ),
        migrations.CreateModel(
            name='CarryKept',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('opens', models.DateField()),
                ('suggested', models.CharField(max_length=10)),
                ('chosen', models.CharField(max_length=10)),
                ('reason', models.CharField(blank=True, max_length=300, verbose_name='why it was suggested')),
                ('why', models.CharField(blank=True, max_length=160, verbose_name='why otherwise')),
                ('drill', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='drills.drill')),
                ('lesson', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='carried', to='lessons.lesson')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('lesson', 'drill'), name='one_choice_per_part')],
            },
        ),
        migrations.CreateModel(
            name='LessonClip',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('clip', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='clips.clip')),
                ('lesson', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='taken', to='lessons.lesson')),
            ],
        ),
    ]

import datetime
import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import shared.people.fields
import shared.people.models
import uuid
from django.conf import settings
from django.core.management import call_command
from django.db import migrations, models


def make_table(apps, schema_editor):
    """Of the shared cache, in which rate limits are counted."""
    call_command("createcachetable", database=schema_editor.connection.alias, verbosity=0)


def drop_table(apps, schema_editor):
    table = schema_editor.quote_name(settings.CACHES["default"]["LOCATION"])
    schema_editor.execute(f"DROP TABLE IF EXISTS {table}")


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('auth', '0012_alter_user_first_name_max_length'),
    ]

    replaces = [
        ('people', '0001_initial'),
        ('people', '0002_consent_changes'),
        ('people', '0003_shared_cache'),
        ('people', '0004_studentwas'),
        ('people', '0005_strength_coaches'),
        ('people', '0006_studio_bays_checked_on'),
        ('people', '0007_mailed_codes'),
        ('people', '0008_sessions'),
        ('people', '0009_passkeys_since'),
        ('people', '0010_consent_binds'),
        ('people', '0011_account_mail'),
        ('people', '0012_security_events'),
        ('people', '0013_guardians'),
        ('people', '0014_copies_and_erasures'),
        ('people', '0015_care_needs'),
        ('people', '0016_proved'),
        ('people', '0017_phone'),
        ('people', '0018_ended'),
        ('people', '0019_ended_invitations'),
        ('people', '0020_undelivered'),
        ('people', '0021_ended_ways_in'),
    ]

    operations = [
        migrations.CreateModel(
            name='MailedCode',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('purpose', models.CharField(max_length=80)),
                ('email', models.EmailField(max_length=254)),
                ('digest', models.CharField(max_length=64)),
                ('until', models.DateTimeField(db_index=True)),
                ('tries', models.PositiveSmallIntegerField(default=0)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='SecurityEvent',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now, editable=False)),
                ('kind', models.CharField(choices=[('signed_in', 'signed in'), ('failed', 'sign-in failed'), ('signed_out', 'signed out'), ('way_in', 'way in changed'), ('session', 'session ended'), ('key', 'phone ended'), ('invited', 'invited'), ('joined', 'joined'), ('work', 'work ended'), ('studio', 'studio changed'), ('consent', 'consent changed'), ('copied', 'copy taken'), ('erasing', 'erasure'), ('pain', 'pain notes opened')], max_length=10)),
                ('by', models.UUIDField(null=True)),
                ('role', models.CharField(blank=True, max_length=60)),
                ('whom', models.UUIDField(null=True)),
                ('studio', models.UUIDField(db_index=True, null=True)),
                ('what', models.CharField(blank=True, max_length=120)),
                ('network', models.CharField(blank=True, max_length=50)),
                ('device', models.CharField(blank=True, max_length=80)),
                ('request', models.CharField(blank=True, max_length=64)),
            ],
        ),
        migrations.CreateModel(
            name='Undelivered',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('address', models.EmailField(max_length=254, unique=True)),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('why', models.CharField(blank=True, max_length=300)),
            ],
        ),
        migrations.CreateModel(
            name='User',
            fields=[
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('last_login', models.DateTimeField(blank=True, null=True, verbose_name='last login')),
                ('is_superuser', models.BooleanField(default=False, help_text='Designates that this user has all permissions without explicitly assigning them.', verbose_name='superuser status')),
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('email', models.EmailField(max_length=254, unique=True, verbose_name='e-mail')),
                ('name', models.CharField(blank=True, max_length=80)),
                ('time_zone', shared.people.fields.TimeZoneField(default='UTC', max_length=64)),
                ('language', models.CharField(default='en', max_length=8)),
                ('distance_unit', models.CharField(choices=[('m', 'metres'), ('yd', 'yards')], default='m', max_length=2)),
                ('speed_unit', models.CharField(choices=[('mps', 'metres a second'), ('kmh', 'kilometres an hour'), ('mph', 'miles an hour')], default='mph', max_length=3)),
                ('mass_unit', models.CharField(choices=[('kg', 'kilograms'), ('lb', 'pounds')], default='kg', max_length=2)),
                ('is_active', models.BooleanField(default=True)),
                ('joined_at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('groups', models.ManyToManyField(blank=True, help_text='The groups this user belongs to. A user will get all permissions granted to each of their groups.', related_name='user_set', related_query_name='user', to='auth.group', verbose_name='groups')),
                ('user_permissions', models.ManyToManyField(blank=True, help_text='Specific permissions for this user.', related_name='user_set', related_query_name='user', to='auth.permission', verbose_name='user permissions')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Ended',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(default=shared.people.models._line_name, editable=False, max_length=64, unique=True)),
                ('what', models.CharField(choices=[('record', 'consent to the record'), ('messages', 'consent to messages'), ('clips', 'consent to clips'), ('tie', "a guardian's tie"), ('off', 'a guardian whom the owner took off'), ('grown', 'a childhood: the student answers alone'), ('place', 'a place: the student left'), ('work', "somebody's work here"), ('passkey', 'a passkey that was lost'), ('removed', 'a passkey that its user took away'), ('password', 'the passwords before this one'), ('key', "a phone's key"), ('calendar', "a calendar's link"), ('strength', 'consent to strength'), ('invited', 'an invitation that was used or taken back'), ('kept', 'being kept: erasure was asked for')], max_length=8)),
                ('row', models.CharField(max_length=64)),
                ('whose', models.CharField(blank=True, max_length=64)),
                ('stands', models.BooleanField()),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('is_outside', models.BooleanField(default=False)),
            ],
            options={
                'indexes': [models.Index(condition=models.Q(('is_outside', False)), fields=['id'], name='ended_not_outside')],
            },
        ),
        migrations.CreateModel(
            name='Guardianship',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('consent_text_version', models.PositiveSmallIntegerField()),
                ('consents_to_record', models.BooleanField()),
                ('consents_to_messages', models.BooleanField(default=False)),
                ('consents_to_clips', models.BooleanField(default=False)),
                ('consented_at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('ended_why', models.CharField(blank=True, max_length=200)),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='guardianships', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='ConsentChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('text_version', models.PositiveSmallIntegerField()),
                ('record', models.BooleanField()),
                ('messages', models.BooleanField()),
                ('clips', models.BooleanField()),
                ('guardianship', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='changes', to='people.guardianship')),
            ],
        ),
        migrations.CreateModel(
            name='Proved',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('what', models.CharField(choices=[('phone', 'an address, opened from a phone'), ('mail', 'a mail server, by a test mail that was opened')], max_length=5)),
                ('of', models.CharField(max_length=400)),
                ('at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('what', 'of'), name='proved_once')],
            },
        ),
        migrations.CreateModel(
            name='Student',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=80)),
                ('born_year', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1900), django.core.validators.MaxValueValidator(9999)])),
                ('turns_18_on', models.DateField(blank=True, editable=False, null=True)),
                ('phone', models.CharField(blank=True, max_length=24, validators=[django.core.validators.RegexValidator('^\\+?[0-9][0-9 ()/.\\-]{4,22}$', 'Write the number with digits, such as +44 20 7946 0000.')], verbose_name='phone number')),
                ('hand', models.CharField(choices=[('right', 'right-handed'), ('left', 'left-handed')], default='right', max_length=5)),
                ('plays_seated', models.BooleanField(default=False)),
                ('time_zone', shared.people.fields.TimeZoneField(default='UTC', max_length=64)),
                ('goal', models.CharField(blank=True, max_length=200, verbose_name="aim, in the student's words")),
                ('joined_on', models.DateField(default=datetime.date.today)),
                ('left_on', models.DateField(blank=True, null=True)),
                ('next_lesson', models.DateField(blank=True, null=True)),
                ('next_event', models.DateField(blank=True, null=True)),
                ('next_event_name', models.CharField(blank=True, max_length=80)),
                ('awaits_second_adult', models.BooleanField(default=False, editable=False)),
                ('confirmed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('confirmed_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('lead_coach', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='leads', to=settings.AUTH_USER_MODEL)),
                ('strength_coaches', models.ManyToManyField(blank=True, related_name='strengthens', to=settings.AUTH_USER_MODEL)),
                ('user', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='student_places', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.AddField(
            model_name='guardianship',
            name='student',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='guardianships', to='people.student'),
        ),
        migrations.CreateModel(
            name='CareNeed',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('why', models.CharField(max_length=200)),
                ('at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('until', models.DateTimeField()),
                ('user', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='care_needs', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='care_needs', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['user', 'until'], name='care_need_of_user')],
            },
        ),
        migrations.CreateModel(
            name='StudentWas',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('until', models.DateTimeField()),
                ('time_zone', shared.people.fields.TimeZoneField(default='UTC', max_length=64)),
                ('next_lesson', models.DateField(null=True)),
                ('next_event', models.DateField(null=True)),
                ('next_event_name', models.CharField(blank=True, max_length=80)),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='people.student')),
            ],
            options={
                'indexes': [models.Index(fields=['student', 'until'], name='student_was_until')],
            },
        ),
        migrations.CreateModel(
            name='Studio',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=80)),
                ('time_zone', shared.people.fields.TimeZoneField(default='UTC', max_length=64)),
                ('first_weekday', models.PositiveSmallIntegerField(choices=[(0, 'Monday'), (1, 'Tuesday'), (2, 'Wednesday'), (3, 'Thursday'), (4, 'Friday'), (5, 'Saturday'), (6, 'Sunday')], default=0, verbose_name='the week starts on')),
                ('safeguarding_contact', models.CharField(blank=True, max_length=160)),
                ('reply_time', models.CharField(default='usually within 2 working days', max_length=80)),
                ('bays_checked_on', models.DateField(blank=True, null=True)),
                ('passkeys_since', models.DateTimeField(blank=True, editable=False, null=True)),
                ('is_demo', models.BooleanField(default=False, editable=False)),
                ('created_at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('first_weekday__range', (0, 6))), name='studio_first_weekday_0_to_6')],
            },
        ),
        migrations.AddField(
            model_name='student',
            name='studio',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='students', to='people.studio'),
        ),
        migrations.CreateModel(
            name='Membership',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('role', models.CharField(choices=[('owner', 'owner'), ('coach', 'coach'), ('assistant', 'assistant coach'), ('helper', 'strength coach')], max_length=10)),
                ('since', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='memberships', to=settings.AUTH_USER_MODEL)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='memberships', to='people.studio')),
            ],
            options={
                'constraints': [models.UniqueConstraint(condition=models.Q(('ended_at', None)), fields=('user', 'studio', 'role'), name='one_current_membership_per_role')],
            },
        ),
        migrations.CreateModel(
            name='Invitation',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('kind', models.CharField(choices=[('student', 'student'), ('guardian', 'guardian of a student under 18'), ('parent', 'another guardian of a student under 18'), ('coach', 'coach'), ('assistant', 'assistant coach'), ('helper', 'strength coach')], max_length=10)),
                ('email', models.EmailField(blank=True, max_length=254)),
                ('name', models.CharField(blank=True, max_length=80)),
                ('nonce', models.CharField(max_length=43)),
                ('invited_at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('expires_at', models.DateTimeField()),
                ('accepted_at', models.DateTimeField(blank=True, null=True)),
                ('revoked_at', models.DateTimeField(blank=True, null=True)),
                ('accepted_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='invitations_accepted', to=settings.AUTH_USER_MODEL)),
                ('invited_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='invitations_sent', to=settings.AUTH_USER_MODEL)),
                ('student', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='invitations', to='people.student')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='invitations', to='people.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='UserSession',
            fields=[
                ('session_key', models.CharField(max_length=40, primary_key=True, serialize=False, verbose_name='session key')),
                ('session_data', models.TextField(verbose_name='session data')),
                ('expire_date', models.DateTimeField(db_index=True, verbose_name='expire date')),
                ('device', models.CharField(blank=True, max_length=80)),
                ('began_at', models.DateTimeField(null=True)),
                ('seen_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='sessions', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name': 'session',
                'verbose_name_plural': 'sessions',
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='AccountMail',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('state', models.CharField(choices=[('due', 'waits'), ('claimed', 'taken by a worker'), ('sending', 'being sent'), ('sent', 'sent'), ('failed', 'refused'), ('unknown', 'perhaps sent'), ('cancelled', 'no longer wanted'), ('expired', 'too late')], default='due', max_length=9)),
                ('why', models.CharField(blank=True, max_length=300)),
                ('claim', models.UUIDField(blank=True, null=True)),
                ('lease_until', models.DateTimeField(blank=True, null=True)),
                ('tries', models.PositiveSmallIntegerField(default=0)),
                ('copies', models.PositiveSmallIntegerField(default=0)),
                ('next_try_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('expires_at', models.DateTimeField()),
                ('message_id', models.CharField(max_length=200)),
                ('planned_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('address', models.EmailField(max_length=254)),
                ('sealed', models.TextField(blank=True)),
                ('invitation', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='mails', to='people.invitation')),
            ],
            options={
                'indexes': [models.Index(condition=models.Q(('state__in', ('due', 'claimed', 'sending'))), fields=['next_try_at'], name='account_mail_open'), models.Index(fields=['planned_at'], name='account_mail_planned')],
                'constraints': [models.CheckConstraint(condition=models.Q(('copies__lte', 2)), name='account_mail_at_most_two_copies')],
            },
        ),
        migrations.AddConstraint(
            model_name='guardianship',
            constraint=models.UniqueConstraint(fields=('student', 'user'), name='one_guardianship_per_student_and_user'),
        ),
        migrations.AddConstraint(
            model_name='guardianship',
            constraint=models.CheckConstraint(condition=models.Q(('consents_to_record', True)), name='guardian_consents_to_the_record'),
        ),
        migrations.AddIndex(
            model_name='student',
            index=models.Index(fields=['studio', 'left_on'], name='student_of_studio'),
        ),
        migrations.AddConstraint(
            model_name='student',
            constraint=models.UniqueConstraint(condition=models.Q(('user__isnull', False)), fields=('studio', 'user'), name='one_place_per_user_and_studio'),
        ),
        migrations.RunPython(make_table, drop_table),
    ]

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
    ]

    replaces = [
        ('tryouts', '0001_a_drawn_start'),
        ('tryouts', '0002_drawn_turns'),
    ]

    operations = [
        migrations.CreateModel(
            name='TryOut',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('design', models.CharField(choices=[('start', 'a drawn start'), ('turns', 'drawn turns')], default='start', max_length=5)),
                ('together', models.UUIDField(db_index=True, default=uuid.uuid4)),
                ('of', models.PositiveSmallIntegerField(default=1, verbose_name='how many were drawn together')),
                ('first', models.DateField(verbose_name='first possible week')),
                ('starts', models.PositiveSmallIntegerField(verbose_name='possible weeks')),
                ('begins', models.DateField(verbose_name='week that was drawn')),
                ('weeks', models.PositiveSmallIntegerField(default=1, verbose_name='weeks of each turn')),
                ('turns', models.JSONField(blank=True, default=list)),
                ('judged_on', models.DateField(verbose_name='tests up to this day count')),
                ('seed', models.PositiveIntegerField()),
                ('drawn_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('ended_why', models.CharField(blank=True, max_length=120)),
                ('drill', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='drills.drill')),
                ('made_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('other', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='drills.drill')),
                ('student', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='try_outs', to='people.student')),
                ('test', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='drills.drill')),
            ],
            options={
                'constraints': [models.UniqueConstraint(condition=models.Q(('ended_at', None)), fields=('student', 'drill'), name='one_try_out_of_a_drill_at_a_time'), models.CheckConstraint(condition=models.Q(('starts__range', (1, 26))), name='try_out_has_possible_starts'), models.CheckConstraint(condition=models.Q(('begins__gte', models.F('first')), ('judged_on__gt', models.F('begins'))), name='try_out_is_judged_after_it_begins')],
            },
        ),
    ]

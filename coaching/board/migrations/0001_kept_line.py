import django.db.models.deletion
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from coaching.board import watch


def take_down(_apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """On the way back; forward, `migrate` puts them up once every table is there."""
    watch.TRIGGERS.drop(schema_editor.connection)


class Migration(migrations.Migration):
    initial = True

    dependencies = [  # All that is watched: on the way back this goes first.
        ("people", "0017_phone"),
        ("standing", "0003_boardlook"),
        ("kept", "0003_erased_stay_as_numbers"),
        ("shots", "0003_studio_days"),
        ("drills", "0006_target_order"),
        ("weeks", "0005_weeks_of_now"),
        ("compliance", "0003_weektally_counts_tapped"),
        ("log", "0006_child_phones"),
        ("care", "0005_pain_looks"),
        ("lessons", "0004_carry_kept"),
        ("checked", "0001_initial"),
        ("progress", "0001_numbers_now"),
        ("season", "0002_gate_now"),
    ]

    operations = [
        migrations.CreateModel(
            name="KeptLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("version", models.BigIntegerField(default=0)),
                ("judged", models.BigIntegerField(null=True)),
                ("rules", models.CharField(blank=True, max_length=16)),
                ("until", models.DateTimeField(null=True)),
                ("line", models.JSONField(null=True)),
                (
                    "student",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="kept_line",
                        to="people.student",
                    ),
                ),
            ],
        ),
        migrations.RunPython(migrations.RunPython.noop, take_down),
    ]

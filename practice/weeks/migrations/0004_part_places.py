
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('weeks', '0003_part_added_on_part_before'),
    ]

    operations = [
        migrations.AddField(
            model_name='part',
            name='places',
            field=models.JSONField(blank=True, default=dict),
        ),
    ]

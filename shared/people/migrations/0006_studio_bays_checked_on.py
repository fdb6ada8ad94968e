
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('people', '0005_strength_coaches'),
    ]

    operations = [
        migrations.AddField(
            model_name='studio',
            name='bays_checked_on',
            field=models.DateField(blank=True, null=True),
        ),
    ]

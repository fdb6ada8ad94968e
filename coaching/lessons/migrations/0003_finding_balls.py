
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('lessons', '0002_clips'),
    ]

    operations = [
        migrations.AddField(
            model_name='finding',
            name='balls',
            field=models.CharField(blank=True, max_length=1200),
        ),
    ]

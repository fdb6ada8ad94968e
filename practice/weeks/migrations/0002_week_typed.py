from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("weeks", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name="week",
            name="typed",
            field=models.JSONField(blank=True, editable=False, null=True),
        ),
    ]

from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [
        ("drills", "0002_initial"),
    ]

    operations = [
        migrations.RenameField("drillrevision", "clean", "clean_means"),
    ]

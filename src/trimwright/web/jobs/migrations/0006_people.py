from django.db import migrations, models

SIGNED = ("bookrevision", "photo", "revision")


def owner_of_the_passphrase(apps, schema_editor):  # type: ignore[no-untyped-def]
    """The passphrase that opened everything becomes that of an account called owner."""
    kept = apps.get_model("jobs", "ShopRecord").objects.exclude(passphrase="").first()
    if kept is None:
        return
    kind, _made = apps.get_model("contenttypes", "ContentType").objects.get_or_create(app_label="jobs", model="shoprecord")
    permission, _made = apps.get_model("auth", "Permission").objects.get_or_create(
        content_type=kind, codename="change_money",
        defaults={"name": "may change sums, prices, quotes and the shop book"},
    )
    owners, _made = apps.get_model("auth", "Group").objects.get_or_create(name="owners")
    owners.permissions.add(permission)
    owner = apps.get_model("auth", "User").objects.create(username="owner", password=kept.passphrase)
    owner.groups.add(owners)


class Migration(migrations.Migration):

    dependencies = [
        ('jobs', '0005_bench_work'),
        ('auth', '0012_alter_user_first_name_max_length'),
        ('contenttypes', '0002_remove_content_type_name'),
    ]

    operations = [
        *(
            migrations.AddField(model, 'author', models.CharField(blank=True, default='', max_length=150))
            for model in SIGNED
        ),
        migrations.AlterModelOptions(
            name='shoprecord',
            options={'permissions': (('change_money', 'may change sums, prices, quotes and the shop book'),)},
        ),
        migrations.RunPython(owner_of_the_passphrase, migrations.RunPython.noop),
        migrations.RemoveField('shoprecord', 'passphrase'),
    ]

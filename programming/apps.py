from django.apps import AppConfig


class ProgrammingConfig(AppConfig):
    name = "programming"
    label = "programming"
    default_auto_field = "django.db.models.BigAutoField"

from django.apps import AppConfig


class AthletesConfig(AppConfig):
    name = "athletes"
    label = "athletes"
    default_auto_field = "django.db.models.BigAutoField"

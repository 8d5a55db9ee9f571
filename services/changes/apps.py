from django.apps import AppConfig


class ChangesConfig(AppConfig):
    name = "services.changes"
    label = "changes"
    default_auto_field = "django.db.models.BigAutoField"

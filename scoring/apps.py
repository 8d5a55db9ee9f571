from django.apps import AppConfig


class ScoringConfig(AppConfig):
    name = "scoring"
    label = "scoring"
    default_auto_field = "django.db.models.BigAutoField"

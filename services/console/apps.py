from django.apps import AppConfig


class ConsoleConfig(AppConfig):
    name = "services.console"
    label = "console"

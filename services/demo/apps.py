from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "services.demo"
    label = "demo"

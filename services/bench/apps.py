from django.apps import AppConfig


class BenchConfig(AppConfig):
    name = "services.bench"
    label = "bench"

from django.apps import AppConfig


class PipelineConfig(AppConfig):
    name = "services.pipeline"
    label = "pipeline"

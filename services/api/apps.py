from django.apps import AppConfig
from django.utils.module_loading import autodiscover_modules


class ApiConfig(AppConfig):
    name = "services.api"
    label = "api"
    verbose_name = "HTTP layer"

    def ready(self) -> None:
        # Each app's errors enter the registry of problem codes when their module is imported.
        autodiscover_modules("errors")
        from services.api import checks  # noqa: F401  (registers; needs loaded apps)

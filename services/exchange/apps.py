from django.apps import AppConfig


class ExchangeConfig(AppConfig):
    name = "services.exchange"
    label = "exchange"

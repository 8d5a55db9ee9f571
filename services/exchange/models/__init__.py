from services.exchange.models.feed import Feed
from services.exchange.models.imported import Import, ImportRow

__all__ = ["Feed", "Import", "ImportRow"]

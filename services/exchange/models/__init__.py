from services.exchange.models.exported import Export, ExportPiece
from services.exchange.models.feed import Feed
from services.exchange.models.imported import Import, ImportRow

__all__ = ["Export", "ExportPiece", "Feed", "Import", "ImportRow"]

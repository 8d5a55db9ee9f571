from django.urls import path

from services.exchange.api import export_views as e
from services.exchange.api import feed_views as f
from services.exchange.api import import_views as i

organisation_urls = [
    path("exports", e.ExportsView.as_view(), name="exports"),
    path("exports/<uuid:export>", e.ExportView.as_view(), name="export"),
    path("exports/<uuid:export>/file", e.ExportFileView.as_view(), name="export-file"),
    path("feeds", f.FeedsView.as_view(), name="feeds"),
    path("feeds/<uuid:feed>", f.FeedView.as_view(), name="feed"),
    path("imports", i.ImportsView.as_view(), name="imports"),
    path("imports/<uuid:import>", i.ImportView.as_view(), name="import"),
    path("imports/<uuid:import>/rows", i.ImportRowsView.as_view(), name="import-rows"),
]

public_urls = [
    path("feeds/<str:feed_secret>.ics", f.CalendarView.as_view(), name="read-feed"),
]

from django.urls import include, path

from athletes.api.urls import urlpatterns as athletes_urls
from programming.api.urls import urlpatterns as programming_urls
from scoring.api.urls import urlpatterns as scoring_urls
from services.access.api.urls import organisation_urls, person_urls
from services.api.urls import urlpatterns as problem_urls
from services.api.urls import v1_patterns
from services.console.urls import urlpatterns as console_urls
from services.exchange.api.urls import organisation_urls as exchange_urls
from services.exchange.api.urls import public_urls
from services.health import livez, metrics, readyz
from services.pipeline.api.urls import urlpatterns as pipeline_urls

organisation = [
    path("organisations/<uuid:organisation>", include(organisation_urls)),
    path("organisations/<uuid:organisation>/", include(programming_urls)),
    path("organisations/<uuid:organisation>/", include(athletes_urls)),
    path("organisations/<uuid:organisation>/", include(scoring_urls)),
    path("organisations/<uuid:organisation>/", include(exchange_urls)),
    path("organisations/<uuid:organisation>/", include(pipeline_urls)),
]

urlpatterns = [
    *problem_urls,
    path("api/v1/", include([*v1_patterns, *person_urls, *public_urls, *organisation])),
    path("livez", livez),
    path("readyz", readyz),
    path("metrics", metrics),
    path("", include((console_urls, "console"))),
]

handler400 = "services.api.handler.handler400"
handler403 = "services.api.handler.handler403"
handler404 = "services.api.handler.handler404"
handler500 = "services.api.handler.handler500"

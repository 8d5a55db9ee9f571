"""Whether this process lives, whether it can serve, and what it counts."""

from django.db import DatabaseError, connection, transaction
from django.http import HttpRequest, HttpResponse, JsonResponse
from prometheus_client import CONTENT_TYPE_LATEST, generate_latest


@transaction.non_atomic_requests
def livez(request: HttpRequest) -> HttpResponse:
    """The process answers; nothing else is asked."""
    return JsonResponse({"status": "alive"})


@transaction.non_atomic_requests
def readyz(request: HttpRequest) -> HttpResponse:
    """The database answers. The broker is not asked: requests never need it."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return JsonResponse({"status": "no database"}, status=503)
    return JsonResponse({"status": "ready"})


@transaction.non_atomic_requests
def metrics(request: HttpRequest) -> HttpResponse:
    """Prometheus text format, for a scraper inside the network."""
    return HttpResponse(generate_latest(), content_type=CONTENT_TYPE_LATEST)

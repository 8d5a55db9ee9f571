"""The worker that lets an athlete's own pages load without a connection."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from services.console.my_page import MyPage


class MyWorker(MyPage):
    """Below the athlete's own pages, so that its scope is these pages alone and no header has to widen it."""

    shows = MyPage.shows
    http_method_names = ["get"]

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        scope = reverse("console:my-worker", args=[organisation]).removesuffix("worker.js")
        return render(request, "console/my_worker.js", {"scope": scope}, content_type="text/javascript")

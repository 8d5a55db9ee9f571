"""The pages, at the root; `services.urls` includes them as `console`."""

from __future__ import annotations

from django.db import transaction
from django.urls import URLPattern, path

from services.console import doors
from services.console.athlete import AthletePage
from services.console.athletes import AthletesPage
from services.console.balance import (
    AthleteBalanceChart,
    AthleteBalancePage,
    BalanceHome,
    GroupBalanceChart,
    GroupBalancePage,
)
from services.console.brief import BriefPage
from services.console.history import HistoryChart, HistoryPage
from services.console.my_report import MyReportPage
from services.console.my_session import MySessionPage, MySessionState
from services.console.my_sessions import MySessionsPage
from services.console.my_worker import MyWorker
from services.console.one_result import ResultChart, ResultPage
from services.console.page import PLACES
from services.console.place import PlacePage
from services.console.reports import ReportPage, ReportsPage
from services.console.reviews import ReviewPage, ReviewsPage
from services.console.session import SessionPage
from services.console.sheet import SheetPage
from services.console.target import GroupTargetPage, TargetPage
from services.console.today import TodayPage
from services.console.write import TemplatePage
from services.console.write_home import WritePage

ORGANISATION = "organisations/<uuid:organisation>"

PLACES[:] = [
    ("Today", "today", TodayPage),
    ("Athletes", "athletes", AthletesPage),
    ("Balance", "balance", BalanceHome),
    ("Write", "write", WritePage),
    ("My sessions", "my-sessions", MySessionsPage),
    ("To look at", "reviews", ReviewsPage),
]
MY = f"{ORGANISATION}/my/sessions"

urlpatterns: list[URLPattern] = [
    path("", doors.StartPage.as_view(), name="start"),
    path("sign-in", transaction.non_atomic_requests(doors.SignInPage.as_view()), name="sign-in"),
    path("sign-out", doors.SignOutPage.as_view(), name="sign-out"),
    path(f"{ORGANISATION}/today", TodayPage.as_view(), name="today"),
    path(f"{ORGANISATION}/sessions/<uuid:session>", SessionPage.as_view(), name="session"),
    path(f"{ORGANISATION}/sessions/<uuid:session>/sheet", SheetPage.as_view(), name="sheet"),
    path(f"{ORGANISATION}/prescriptions/<uuid:prescription>/brief", BriefPage.as_view(), name="brief"),
    path(f"{ORGANISATION}/results/<uuid:attempt>", ResultPage.as_view(), name="result"),
    path(f"{ORGANISATION}/results/<uuid:attempt>/chart.svg", ResultChart.as_view(), name="result-chart"),
    path(f"{ORGANISATION}/athletes", AthletesPage.as_view(), name="athletes"),
    path(f"{ORGANISATION}/athletes/<uuid:athlete>", AthletePage.as_view(), name="athlete"),
    path(
        f"{ORGANISATION}/athletes/<uuid:athlete>/movements/<uuid:movement>",
        HistoryPage.as_view(),
        name="history",
    ),
    path(
        f"{ORGANISATION}/athletes/<uuid:athlete>/movements/<uuid:movement>/chart.svg",
        HistoryChart.as_view(),
        name="history-chart",
    ),
    path(
        f"{ORGANISATION}/athletes/<uuid:athlete>/balance",
        AthleteBalancePage.as_view(),
        name="athlete-balance",
    ),
    path(
        f"{ORGANISATION}/athletes/<uuid:athlete>/balance/chart.svg",
        AthleteBalanceChart.as_view(),
        name="athlete-balance-chart",
    ),
    path(f"{ORGANISATION}/balance", BalanceHome.as_view(), name="balance"),
    path(f"{ORGANISATION}/balance/wanted", TargetPage.as_view(), name="balance-target"),
    path(f"{ORGANISATION}/groups/<uuid:group>/balance", GroupBalancePage.as_view(), name="group-balance"),
    path(
        f"{ORGANISATION}/groups/<uuid:group>/balance/chart.svg",
        GroupBalanceChart.as_view(),
        name="group-balance-chart",
    ),
    path(
        f"{ORGANISATION}/groups/<uuid:group>/balance/wanted", GroupTargetPage.as_view(), name="group-target"
    ),
    path(f"{ORGANISATION}/write", WritePage.as_view(), name="write"),
    path(f"{ORGANISATION}/write/<uuid:template>", TemplatePage.as_view(), name="template"),
    path(f"{ORGANISATION}/revisions/<uuid:revision>/place", PlacePage.as_view(), name="place"),
    path(f"{ORGANISATION}/reviews", ReviewsPage.as_view(), name="reviews"),
    path(f"{ORGANISATION}/reviews/<uuid:review>", ReviewPage.as_view(), name="review"),
    path(f"{ORGANISATION}/reports", ReportsPage.as_view(), name="reports"),
    path(f"{ORGANISATION}/reports/<uuid:report>", ReportPage.as_view(), name="report"),
    path(MY, MySessionsPage.as_view(), name="my-sessions"),
    path(f"{ORGANISATION}/my/worker.js", MyWorker.as_view(), name="my-worker"),
    path(f"{MY}/<uuid:session>", MySessionPage.as_view(), name="my-session"),
    path(f"{MY}/<uuid:session>/state", MySessionState.as_view(), name="my-session-state"),
    path(f"{MY}/<uuid:session>/report", MyReportPage.as_view(), name="my-report"),
]

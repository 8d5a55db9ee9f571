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
from services.console.group_progression import GroupProgressionPage
from services.console.health_reads import HealthReadsPage
from services.console.heart_rate import HeartRatePage
from services.console.history import HistoryChart, HistoryPage
from services.console.load import LoadChart, LoadPage
from services.console.my_day import MyDayPage, MyRestBackPage, MyRestPage, MyTrainingBackPage
from services.console.my_report import MyReportPage
from services.console.my_session import MySessionPage, MySessionState
from services.console.my_sessions import MySessionsPage
from services.console.my_wellness import MyWellnessPage
from services.console.my_worker import MyWorker
from services.console.one_result import ResultChart, ResultPage
from services.console.own_factor import OwnFactorPage
from services.console.own_organisation import OwnOrganisationPage
from services.console.page import PLACES
from services.console.place import PlacePage
from services.console.progression import ProgressionChart, ProgressionPage
from services.console.reports import ReportPage, ReportsPage
from services.console.reviews import ReviewPage, ReviewsPage
from services.console.session import SessionPage
from services.console.sheet import SheetPage
from services.console.target import GroupTargetPage, TargetPage
from services.console.today import TodayPage
from services.console.together import GroupLoadPage, LocationLoadPage
from services.console.wellness import WellnessChart, WellnessPage
from services.console.work_done import WorkDonePage
from services.console.write import TemplatePage
from services.console.write_home import WritePage
from services.console.write_ways import AsidePage, CopyPage, TakenUpPage

ORGANISATION = "organisations/<uuid:organisation>"

PLACES[:] = [
    ("Today", "today", TodayPage),
    ("Athletes", "athletes", AthletesPage),
    ("Balance", "balance", BalanceHome),
    ("Write", "write", WritePage),
    ("My sessions", "my-sessions", MySessionsPage),
    ("To look at", "reviews", ReviewsPage),
    ("Organisation", "organisation", OwnOrganisationPage),
]
ATHLETE = f"{ORGANISATION}/athletes/<uuid:athlete>"
MY = f"{ORGANISATION}/my/sessions"

urlpatterns: list[URLPattern] = [
    path("", doors.StartPage.as_view(), name="start"),
    path("sign-in", transaction.non_atomic_requests(doors.SignInPage.as_view()), name="sign-in"),
    path("sign-in/code", transaction.non_atomic_requests(doors.CodePage.as_view()), name="code"),
    path("second-factor", transaction.non_atomic_requests(OwnFactorPage.as_view()), name="second-factor"),
    path("units", doors.UnitsPage.as_view(), name="units"),
    path("sign-out", doors.SignOutPage.as_view(), name="sign-out"),
    path(f"{ORGANISATION}/today", TodayPage.as_view(), name="today"),
    path(f"{ORGANISATION}/sessions/<uuid:session>", SessionPage.as_view(), name="session"),
    path(f"{ORGANISATION}/sessions/<uuid:session>/sheet", SheetPage.as_view(), name="sheet"),
    path(f"{ORGANISATION}/prescriptions/<uuid:prescription>/brief", BriefPage.as_view(), name="brief"),
    path(f"{ORGANISATION}/results/<uuid:attempt>", ResultPage.as_view(), name="result"),
    path(f"{ORGANISATION}/results/<uuid:attempt>/chart.svg", ResultChart.as_view(), name="result-chart"),
    path(f"{ORGANISATION}/athletes", AthletesPage.as_view(), name="athletes"),
    path(ATHLETE, AthletePage.as_view(), name="athlete"),
    path(
        f"{ATHLETE}/movements/<uuid:movement>",
        HistoryPage.as_view(),
        name="history",
    ),
    path(
        f"{ATHLETE}/movements/<uuid:movement>/chart.svg",
        HistoryChart.as_view(),
        name="history-chart",
    ),
    path(f"{ATHLETE}/load", LoadPage.as_view(), name="athlete-load"),
    path(f"{ATHLETE}/load/chart.svg", LoadChart.as_view(), name="load-chart"),
    path(f"{ATHLETE}/heart-rate", HeartRatePage.as_view(), name="heart-rate"),
    path(f"{ATHLETE}/work-done", WorkDonePage.as_view(), name="work-done"),
    path(f"{ATHLETE}/wellness", WellnessPage.as_view(), name="wellness"),
    path(
        f"{ATHLETE}/wellness/<slug:form>/<slug:item>/chart.svg",
        WellnessChart.as_view(),
        name="wellness-chart",
    ),
    path(f"{ATHLETE}/progression", ProgressionPage.as_view(), name="progression"),
    path(
        f"{ATHLETE}/progression/<uuid:movement>/chart.svg",
        ProgressionChart.as_view(),
        name="progression-chart",
    ),
    path(
        f"{ORGANISATION}/groups/<uuid:group>/progression",
        GroupProgressionPage.as_view(),
        name="group-progression",
    ),
    path(f"{ORGANISATION}/locations/<uuid:location>/load", LocationLoadPage.as_view(), name="location-load"),
    path(f"{ORGANISATION}/groups/<uuid:group>/load", GroupLoadPage.as_view(), name="group-load"),
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
    path(f"{ORGANISATION}/write/<uuid:template>/copy", CopyPage.as_view(), name="template-copy"),
    path(f"{ORGANISATION}/write/<uuid:template>/aside", AsidePage.as_view(), name="template-aside"),
    path(f"{ORGANISATION}/write/<uuid:template>/taken-up", TakenUpPage.as_view(), name="template-taken-up"),
    path(f"{ORGANISATION}/revisions/<uuid:revision>/place", PlacePage.as_view(), name="place"),
    path(f"{ORGANISATION}/reviews", ReviewsPage.as_view(), name="reviews"),
    path(f"{ORGANISATION}/reviews/<uuid:review>", ReviewPage.as_view(), name="review"),
    path(f"{ORGANISATION}/reports", ReportsPage.as_view(), name="reports"),
    path(f"{ORGANISATION}/reports/<uuid:report>", ReportPage.as_view(), name="report"),
    path(f"{ORGANISATION}/organisation", OwnOrganisationPage.as_view(), name="organisation"),
    path(f"{ORGANISATION}/health-reads", HealthReadsPage.as_view(), name="health-reads"),
    path(MY, MySessionsPage.as_view(), name="my-sessions"),
    path(f"{ORGANISATION}/my/day", MyDayPage.as_view(), name="my-day"),
    path(f"{ORGANISATION}/my/day/rest", MyRestPage.as_view(), name="my-rest"),
    path(f"{ORGANISATION}/my/day/rest/<uuid:rest_day>", MyRestBackPage.as_view(), name="my-rest-back"),
    path(
        f"{ORGANISATION}/my/day/training/<uuid:training>",
        MyTrainingBackPage.as_view(),
        name="my-training-back",
    ),
    path(f"{ORGANISATION}/my/wellness", MyWellnessPage.as_view(), name="my-wellness"),
    path(f"{ORGANISATION}/my/worker.js", MyWorker.as_view(), name="my-worker"),
    path(f"{MY}/<uuid:session>", MySessionPage.as_view(), name="my-session"),
    path(f"{MY}/<uuid:session>/state", MySessionState.as_view(), name="my-session-state"),
    path(f"{MY}/<uuid:session>/report", MyReportPage.as_view(), name="my-report"),
]

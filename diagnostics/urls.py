"""The addresses of measuring and judging, below the workshop's."""

from __future__ import annotations

from django.urls import path

from diagnostics.views import catalogue, checklist, looking, readings, working

urlpatterns = [
    path("office/catalogue/", catalogue.catalogue, name="catalogue"),
    path("sessions/<int:pk>/", checklist.checklist, name="session"),
    path("sessions/<int:pk>/begin/", checklist.begin, name="run-begin"),
    path("sessions/<int:pk>/lamps/", looking.lamps, name="lamps"),
    path("sessions/<int:pk>/flags/", looking.flags, name="flags"),
    path("sessions/<int:pk>/flags/meaning/", looking.flag_meaning, name="flag-meaning"),
    path("sessions/<int:pk>/flags/row/", looking.flag_row, name="flag-row"),
    path("sessions/<int:pk>/flags/preview/", looking.flags_preview, name="flags-preview"),
    path("sessions/<int:pk>/flags/returned/", looking.flags_returned, name="flags-returned"),
    path("sessions/<int:pk>/flags/clear/", looking.flags_clear, name="flags-clear"),
    path("sessions/<int:pk>/readings/", readings.readings, name="readings"),
    path("sessions/<int:pk>/worked/", working.work, name="work"),
    path("sessions/<int:pk>/worked/<slug:kind>/", working.work_out, name="work-out"),
    path("measurements/<int:pk>/", working.measurement, name="measurement"),
    path("measurements/<int:pk>/replace/", working.replace, name="measurement-replace"),
    path("captures/<int:pk>/", working.capture, name="capture"),
    path("readings/<int:pk>/replace/", readings.replace, name="reading-replace"),
    path("runs/<int:pk>/step/", checklist.answer, name="run-step"),
    path("runs/<int:pk>/caution/", checklist.acknowledge, name="run-caution"),
    path("runs/<int:pk>/skip/", checklist.skip, name="run-skip"),
    path("runs/<int:pk>/back/", checklist.back, name="run-back"),
    path("runs/<int:pk>/corner/", checklist.corner, name="run-corner"),
]

"""The estimate of a job, its authority, and their papers."""

from __future__ import annotations

from django.urls import path

from jobs.views import authority, estimate, estimate_lines

_JOB = "orders/<str:number>/estimate/"

urlpatterns = [
    path(_JOB, estimate.estimate, name="estimate"),
    path(f"{_JOB}<int:line>/propose/", estimate_lines.propose, name="estimate-propose"),
    path(f"{_JOB}assembly/", estimate_lines.add_assembly, name="estimate-assembly"),
    path(
        f"{_JOB}assembly/<int:pk>/off/",
        estimate_lines.remove_assembly,
        name="estimate-assembly-off",
    ),
    path(f"{_JOB}labour/", estimate_lines.add_labour, name="estimate-labour"),
    path(f"{_JOB}labour/<int:pk>/off/", estimate_lines.remove_labour, name="estimate-labour-off"),
    path(f"{_JOB}other/", estimate_lines.add_other, name="estimate-other"),
    path(f"{_JOB}other/<int:pk>/off/", estimate_lines.remove_other, name="estimate-other-off"),
    path(f"{_JOB}payer/", estimate_lines.share, name="estimate-payer"),
    path(f"{_JOB}give/", estimate.give, name="estimate-give"),
    path(f"{_JOB}authority/", estimate.authority, name="authority"),
    path(f"{_JOB}diagnosis/", authority.diagnosis, name="authority-diagnosis"),
    path(f"{_JOB}nothing-more/", authority.nothing_more, name="authority-nothing-more"),
    path(f"{_JOB}E<int:given>.pdf", authority.estimate_pdf, name="estimate-pdf"),
    path(f"{_JOB}A<int:answer>.pdf", authority.authority_pdf, name="authority-pdf"),
    path(
        "orders/<str:number>/declined/<str:earlier>/<int:line>/",
        authority.again,
        name="declined-again",
    ),
]

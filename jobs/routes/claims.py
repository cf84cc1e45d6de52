"""Claims and who is asked, below the workshop’s address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import claim_payers, claims

urlpatterns: list[URLPattern | URLResolver] = [
    path("claims/", claims.listing, name="claims"),
    path("claims/payers/", claim_payers.listing, name="claim-payers"),
    path("claims/payers/new/", claim_payers.new, name="claim-payer-new"),
    path("claims/payers/<int:pk>/", claim_payers.payer, name="claim-payer"),
    path("claims/payers/<int:pk>/retire/", claim_payers.retire, name="claim-payer-retire"),
    path("orders/<str:number>/complaints/<int:line>/claim/", claims.draft, name="claim-draft"),
    path("claims/<str:number>/", claims.claim, name="claim"),
    path("claims/<str:number>/words/", claims.word, name="claim-words"),
    path("claims/<str:number>/again/", claims.read_again, name="claim-again"),
    path("claims/<str:number>/approve/", claims.approve, name="claim-approve"),
    path("claims/<str:number>/reopen/", claims.reopen, name="claim-reopen"),
    path("claims/<str:number>/void/", claims.void, name="claim-void"),
    path("claims/<str:number>/write-off/", claims.write_off, name="claim-write-off"),
]

"""Every address of the product. Below the workshop's short name stands what belongs to it."""

from django.urls import include, path

from shop.views import errors

urlpatterns = [
    path("", include("shop.routes.front")),
    path("<slug:workshop>/", include("shop.routes.place")),
    path("<slug:workshop>/", include("diagnostics.urls")),
    path("<slug:workshop>/", include("jobs.urls")),
]

handler400 = errors.bad_request
handler403 = errors.forbidden
handler404 = errors.not_found
handler500 = errors.server_error

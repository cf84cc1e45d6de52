from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "shop"
    default_auto_field = "django.db.models.BigAutoField"
    verbose_name = "The place"

    def ready(self) -> None:
        from shop import checks  # noqa: F401, PLC0415  (registers the system checks)

from django.apps import AppConfig


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"
    default_auto_field = "django.db.models.BigAutoField"
    verbose_name = "Measuring and judging"

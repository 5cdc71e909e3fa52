"""Hypothesis profiles: repeatable by default, deeper by hand."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "default", derandomize=True, deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip
settings.register_profile("deep", settings.get_profile("default"), max_examples=2000)
settings.load_profile("default")
